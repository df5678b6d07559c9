package tui

import (
	"errors"
	"slices"
	"sync"
)

// live are the sessions that must be closed however the program ends.
type live struct {
	mu       sync.Mutex
	sessions []Session
}

func (l *live) add(s Session) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.sessions = append(l.sessions, s)
}

// forget drops a session that has been closed.
func (l *live) forget(s Session) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.sessions = slices.DeleteFunc(l.sessions, func(o Session) bool { return o == s })
}

// end closes what is still open.
func (l *live) end() error {
	l.mu.Lock()
	open := l.sessions
	l.sessions = nil
	l.mu.Unlock()
	var errs []error
	for _, s := range open {
		errs = append(errs, s.Close())
	}
	return errors.Join(errs...)
}
