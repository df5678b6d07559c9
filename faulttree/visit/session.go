package visit

import "context"

// Session is the running visit: one goroutine, the sole owner of gauge, window, monitor, walk and
// open visit.
type Session struct{}

// Do carries out a command and returns when its event is on disk (or why it was refused).
func (s *Session) Do(ctx context.Context, c Command) error { return nil }

// Snapshots carries the newest Snapshot, at most ten a second; a slow reader misses old ones. It is
// closed when the session has ended.
func (s *Session) Snapshots() <-chan Snapshot { return nil }

// Close ends the session and its feed; everything shown is on disk before it returns.
func (s *Session) Close() error { return nil }
