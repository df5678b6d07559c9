package visit

import (
	"bufio"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"
)

// Fallback is a Store that goes on when the disk does not: events that cannot be written stay in
// memory, State says so, and they are written as soon as the disk takes them, in their order, once.
type Fallback struct {
	mu      sync.Mutex
	open    func() (Store, error)
	disk    Store // nil while it could not be opened
	pending []Event
	why     error
}

// retryWait bounds a further try at a disk that failed before, so that the visit is not held up.
const retryWait = 300 * time.Millisecond

// NewFallback opens a store through open, now, and again later where that fails.
func NewFallback(open func() (Store, error)) *Fallback {
	f := &Fallback{open: open}
	f.disk, f.why = open()
	if f.why != nil {
		f.disk = nil
	}
	return f
}

// State is "" while every event is on disk, else what is wrong and what happens about it.
func (f *Fallback) State() string {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.why == nil {
		return ""
	}
	return fmt.Sprintf("%d events in memory only, trying again: %v", len(f.pending), f.why)
}

// Append stores events on disk or, where that fails, in memory. It refuses only what no store would
// take: invalid events and conflicts.
func (f *Fallback) Append(ctx context.Context, events ...Event) error {
	for i := range events {
		if err := events[i].valid(); err != nil {
			return fmt.Errorf("storing event %d of %d: %w", i+1, len(events), err)
		}
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.why != nil {
		if err := f.place(events); err != nil {
			return err
		}
		f.catchUp(ctx)
		return nil
	}
	err := f.disk.Append(ctx, events...)
	if err == nil || errors.Is(err, ErrConflict) || errors.Is(err, ErrPurged) {
		return err
	}
	f.failed(err)
	return f.place(events)
}

// place keeps events in memory, by the rules of a store.
func (f *Fallback) place(events []Event) error {
	for _, e := range events {
		for i := range f.pending {
			k := &f.pending[i]
			if (k.ID == e.ID || k.Visit == e.Visit && k.Seq == e.Seq) && !k.same(e) {
				return fmt.Errorf("keeping event %s in memory: %w", e.ID, ErrConflict)
			}
		}
	}
	f.pending = append(f.pending, events...)
	return nil
}

// failed lets go of the store: after some failures an open file never recovers, a new one does.
func (f *Fallback) failed(err error) {
	f.why = err
	if f.disk != nil {
		_ = f.disk.Close() // it failed already; its own error is the one to tell
		f.disk = nil
	}
}

// CatchUp tries to write what is in memory only; call it every few seconds. Its error is also in State.
func (f *Fallback) CatchUp(ctx context.Context) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.why == nil {
		return nil
	}
	f.catchUp(ctx)
	return f.why
}

func (f *Fallback) catchUp(ctx context.Context) {
	if f.disk == nil {
		disk, err := f.open()
		if err != nil {
			f.why = err
			return
		}
		f.disk = disk
	}
	if len(f.pending) > 0 {
		ctx, cancel := context.WithTimeout(ctx, retryWait)
		defer cancel()
		if err := f.disk.Append(ctx, f.pending...); err != nil {
			f.failed(err)
			return
		}
	}
	f.pending, f.why = nil, nil
}

// Pending are the events that are in memory only, oldest first.
func (f *Fallback) Pending() []Event {
	f.mu.Lock()
	defer f.mu.Unlock()
	return append([]Event(nil), f.pending...)
}

// Events returns the events of a visit, on disk and in memory. Without the disk it errs unless the
// whole visit is in memory.
func (f *Fallback) Events(ctx context.Context, visit string) ([]Event, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	var out, mine []Event
	var err error
	if f.disk != nil {
		out, err = f.disk.Events(ctx, visit)
	} else {
		err = f.why
	}
	for _, e := range f.pending {
		if e.Visit == visit {
			mine = append(mine, e)
		}
	}
	if err != nil && (len(mine) == 0 || mine[0].Seq != 1) {
		return mine, err
	}
	return append(out, mine...), nil
}

// Visits lists the visits on disk, and those that are in memory only.
func (f *Fallback) Visits(ctx context.Context) ([]Summary, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.disk != nil {
		return f.disk.Visits(ctx)
	}
	byVisit := map[string][]Event{}
	var order []string
	for _, e := range f.pending {
		if byVisit[e.Visit] == nil {
			order = append(order, e.Visit)
		}
		byVisit[e.Visit] = append(byVisit[e.Visit], e)
	}
	var out []Summary
	for i := len(order) - 1; i >= 0; i-- {
		v, err := Fold(byVisit[order[i]])
		if err != nil {
			return out, err
		}
		out = append(out, v.Summary())
	}
	return out, nil
}

// Find finds a visit by number or by the beginning of its id.
func (f *Fallback) Find(ctx context.Context, ref string) (string, error) {
	all, err := f.Visits(ctx)
	if err != nil {
		return "", err
	}
	return find(all, ref)
}

// Close tries a last time to write what is in memory and says how much could not be. Pending still
// holds it then.
func (f *Fallback) Close() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.why != nil {
		f.catchUp(context.Background())
	}
	if f.why != nil && len(f.pending) > 0 {
		return fmt.Errorf("closing the visit store: %d events are not on disk: %w", len(f.pending), f.why)
	}
	if f.disk == nil {
		return nil
	}
	return f.disk.Close()
}

// Rescue writes the events that are in memory only as a bundle, for a disk that does not come back
// before the program ends: `visits import` takes them in later, wherever the visit began.
func (f *Fallback) Rescue(w io.Writer) error {
	pending := f.Pending()
	b := &bundleWriter{w: bufio.NewWriter(w), sum: sha256.New()}
	err := b.line(bundleLine{Schema: BundleSchema, Visits: 1})
	for i := 0; i < len(pending) && err == nil; i++ {
		err = b.line(bundleLine{Event: &pending[i]})
	}
	if err == nil {
		err = b.end()
	}
	if err != nil {
		return fmt.Errorf("rescuing %d events that are in memory only: %w (give another place)", len(pending), err)
	}
	return nil
}
