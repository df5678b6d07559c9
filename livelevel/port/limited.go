package port

import (
	"context"
	"io"
	"sync"
	"time"
)

// Limited ends a feed after d of its own time, counted from the first that is heard of it; silence
// counts. A survey of a port that listens for a minute ends by this, and so the same bytes give the
// same findings whoever stops looking first.
func Limited(o Opener, d time.Duration) Opener { return &limited{Opener: o, d: d} }

type limited struct {
	Opener
	d time.Duration

	mu    sync.Mutex
	first time.Time
}

// Open implements Opener.
func (l *limited) Open(ctx context.Context) (Stream, error) {
	s, err := l.Opener.Open(ctx)
	if err != nil {
		return nil, err
	}
	return &limitedStream{Stream: s, l: l}, nil
}

// Now implements Clock where the opener below does.
func (l *limited) Now() time.Time {
	if c, ok := l.Opener.(Clock); ok {
		return c.Now()
	}
	return time.Now()
}

// over tells whether a time lies past the limit.
func (l *limited) over(at time.Time) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.first.IsZero() {
		l.first = at
	}
	return !at.IsZero() && at.Sub(l.first) > l.d
}

type limitedStream struct {
	Stream
	l *limited
}

// Next implements Stream.
func (s *limitedStream) Next() (Chunk, error) {
	c, err := s.Stream.Next()
	if err == nil && s.l.over(c.At) {
		_ = s.Close()
		return Chunk{At: c.At}, io.EOF
	}
	return c, err
}
