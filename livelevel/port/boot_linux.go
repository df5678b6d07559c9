package port

import (
	"time"

	"golang.org/x/sys/unix"
)

// sinceBoot counts the time that the machine was suspended, which the monotonic clock of time.Now
// leaves out on this system: a laptop whose lid was shut over lunch must show the hour as a gap.
func sinceBoot() time.Duration {
	var t unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_BOOTTIME, &t); err != nil {
		return time.Since(loaded)
	}
	return time.Duration(t.Nano())
}
