package command

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/faulttree/visit/office"
)

// toOffice tells whether --store names an office: a database where many technicians' visits come
// together.
func (p *Program) toOffice() bool { return strings.Contains(p.store, "://") }

// storePath is the file of visits on this machine. With an office it is the queue in front of it.
func (p *Program) storePath() (string, error) {
	if p.store != "" && !p.toOffice() {
		return p.store, nil
	}
	dir, err := p.dataFolder()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, "visits.db"), nil
}

// openStore opens the visits for reading and for exchange: the office's where one is named.
func (p *Program) openStore(ctx context.Context) (visit.Store, error) {
	if p.toOffice() {
		return office.Open(ctx, p.store)
	}
	return p.openLocal()
}

// openLocal opens the file of visits; a disk that cannot be written may still be read.
func (p *Program) openLocal() (visit.Store, error) {
	path, err := p.storePath()
	if err != nil {
		return nil, err
	}
	s, err := visit.Open(path)
	if err == nil {
		return s, nil
	}
	if read, e := visit.OpenRead(path); e == nil {
		return read, nil
	}
	return nil, err
}

// recording is the store of a running visit: it goes on in memory when the disk fails, and sends to
// the office what is on disk without ever holding up the visit.
type recording struct {
	*visit.Fallback
	p    *Program
	path string
	stop context.CancelFunc
	sent chan struct{}
}

const (
	catchUpEvery = 3 * time.Second
	officeEvery  = 15 * time.Second
	lastSend     = 4 * time.Second
)

func (p *Program) keepRecord(ctx context.Context) (*recording, error) {
	path, err := p.storePath()
	if err != nil {
		return nil, err
	}
	ctx, stop := context.WithCancel(context.WithoutCancel(ctx))
	r := &recording{p: p, path: path, stop: stop, sent: make(chan struct{})}
	r.Fallback = visit.NewFallback(func() (visit.Store, error) { return visit.Open(path) })
	go r.tend(ctx)
	return r, nil
}

// Trouble says what is wrong with the disk; "" while every event is on it.
func (r *recording) Trouble() string { return r.State() }

// tend catches up after a failed disk, and sends to the office.
func (r *recording) tend(ctx context.Context) {
	defer close(r.sent)
	catchUp, send := time.NewTicker(catchUpEvery), time.NewTicker(officeEvery)
	defer catchUp.Stop()
	defer send.Stop()
	for {
		select {
		case <-catchUp.C:
			_ = r.CatchUp(ctx) // State says how it stands
		case <-send.C:
			if r.p.toOffice() {
				r.send(ctx)
			}
		case <-ctx.Done():
			return
		}
	}
}

// send tries the office for a bounded time; what it does not take waits for the next try.
func (r *recording) send(ctx context.Context) {
	ctx, cancel := context.WithTimeout(ctx, lastSend)
	defer cancel()
	_ = r.p.forward(ctx, r.path)
}

// Close writes and sends what is left; what cannot be written is rescued into a bundle.
func (r *recording) Close() error {
	r.stop()
	<-r.sent
	err := r.Fallback.Close()
	if err != nil {
		err = errors.Join(err, r.rescue())
	}
	if r.p.toOffice() && err == nil {
		ctx, cancel := context.WithTimeout(context.Background(), lastSend)
		defer cancel()
		if e := r.p.forward(ctx, r.path); e != nil {
			fmt.Fprintln(r.p.Err, "tankhand:", e)
		}
	}
	return err
}

// rescue writes what is in memory only to a place that is not the failed disk's folder.
func (r *recording) rescue() error {
	f, err := os.CreateTemp("", "tankhand-rescue-*.jsonl")
	if err != nil {
		return err
	}
	if err := errors.Join(r.Rescue(f), f.Close()); err != nil {
		return err
	}
	return fmt.Errorf("what could not be kept stands in %s: take it in with tankhand visits import", f.Name())
}

// forward sends the office what it does not have yet, in order, once.
func (p *Program) forward(ctx context.Context, path string) error {
	local, err := visit.Open(path)
	if err != nil {
		return err
	}
	defer local.Close()
	o, err := office.Open(ctx, p.store)
	if err != nil {
		return fmt.Errorf("%w (the visits wait here and are sent next time)", err)
	}
	defer o.Close()
	_, err = local.Forward(ctx, p.store, o)
	return err
}
