//go:build !linux

package port

import "time"

// sinceBoot may leave out the time that the machine was suspended: that depends on the system.
func sinceBoot() time.Duration { return time.Since(loaded) }
