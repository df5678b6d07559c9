package visit

import (
	"context"
	"errors"
	"fmt"
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/livelevel/site"
)

// Config is what a session needs to begin.
type Config struct {
	// Store keeps the events; nil keeps nothing (a survey).
	Store Store
	// Visit resumes a visit by id; empty begins a new one.
	Visit string
	Sheet *site.Sheet
	// SheetText is the sheet as the technician wrote it: the record keeps it whole.
	SheetText string
	Base      *knowledge.Base
	Feed      *feed.Feed
	Info      port.Info
	// Window of the checks; 0 judges the whole feed.
	Window time.Duration
	// Between are the hours of the day that the checks look at; the zero value is all of them.
	Between diagnostics.Hours
	// Priors are learned priors of a complaint; nil or a nil result uses the shipped ones.
	Priors func(complaint string) map[string]float64
	// Walk limits what is offered: where the technician is, whether mains enclosures may be opened,
	// what can be answered by hand.
	Walk       faulttree.Options
	Technician string
	Customer   string
	Program    string // version that writes
	// Invented marks a practice rig: reports say that the data are made up.
	Invented bool
	// Hands do on a practice rig what the technician says is done: the action of a probe or the remedy of a
	// cause, by its id, and say when that was on the feed's clock: what the rig sent before may still be on its
	// way. nil on a real installation, where it has been done.
	Hands func(id string) time.Time
	// Clock stamps events; nil is the wall clock.
	Clock func() time.Time
}

// Session is the running visit: one goroutine, the sole owner of gauge, window, monitor, walk and
// open visit. Its methods may be called from anywhere.
type Session struct {
	visit     string
	commands  chan request
	snapshots chan Snapshot
	done      chan struct{}
	cancel    context.CancelFunc
	feed      *feed.Feed
}

type request struct {
	ctx     context.Context
	command Command
	reply   chan error
}

// errEnded answers commands to a session that is over.
var errEnded = errors.New("the visit's session has ended; open the visit again with --visit")

// Begin begins or resumes a visit and starts its goroutine. The first events are on disk when it
// returns.
func Begin(ctx context.Context, cfg Config) (*Session, error) {
	if cfg.Clock == nil {
		cfg.Clock = time.Now
	}
	if cfg.Hands == nil {
		cfg.Hands = func(string) time.Time { return time.Time{} }
	}
	if cfg.Sheet == nil {
		cfg.Sheet = &site.Sheet{}
	}
	ctx, cancel := context.WithCancel(ctx)
	r := newRunning(cfg)
	if err := r.begin(ctx); err != nil {
		cancel()
		return nil, fmt.Errorf("opening the visit: %w", err)
	}
	s := &Session{
		visit:     r.id,
		commands:  make(chan request),
		snapshots: make(chan Snapshot, 1),
		done:      make(chan struct{}),
		cancel:    cancel,
		feed:      cfg.Feed,
	}
	go s.run(ctx, r)
	return s, nil
}

// Visit is the id of the visit, "" where no record is kept.
func (s *Session) Visit() string { return s.visit }

// Do carries out a command and returns when its event is on disk (or why it was refused).
func (s *Session) Do(ctx context.Context, c Command) error {
	req := request{ctx: ctx, command: c, reply: make(chan error, 1)}
	select {
	case s.commands <- req:
	case <-ctx.Done():
		return ctx.Err()
	case <-s.done:
		return errEnded
	}
	select {
	case err := <-req.reply:
		return err
	case <-s.done:
		return errEnded
	}
}

// Snapshots carries the newest Snapshot, at most ten a second; a slow reader misses old ones. It is
// closed when the session has ended.
func (s *Session) Snapshots() <-chan Snapshot { return s.snapshots }

// Close ends the session and its feed; everything shown is on disk before it returns.
func (s *Session) Close() error {
	s.cancel()
	<-s.done
	return s.feed.Close()
}

// snapshotEvery bounds how often a snapshot is made: no eye and no slow link wants more.
const snapshotEvery = 100 * time.Millisecond

func (s *Session) run(ctx context.Context, r *running) {
	defer close(s.done)
	defer close(s.snapshots)
	defer r.checks.close()
	ticker := time.NewTicker(snapshotEvery)
	defer ticker.Stop()
	batches := s.feed.Batches()
	dirty := true
	for {
		select {
		case <-ctx.Done():
			r.end(context.WithoutCancel(ctx))
			s.publish(r.snapshot())
			return
		case b, ok := <-batches:
			if !ok {
				batches = nil
				continue
			}
			r.batch(ctx, b)
			dirty = true
			if b.End != nil {
				r.feedEnded(ctx, b.End)
				s.publish(r.snapshot())
			}
		case req := <-s.commands:
			err := r.do(req.ctx, req.command)
			s.publish(r.snapshot())
			dirty = false
			req.reply <- err
		case <-ticker.C:
			if dirty {
				s.publish(r.snapshot())
				dirty = false
			}
		}
	}
}

// publish replaces an unread snapshot by the newer one.
func (s *Session) publish(snap Snapshot) {
	for {
		select {
		case s.snapshots <- snap:
			return
		default:
		}
		select {
		case <-s.snapshots:
		default:
		}
	}
}

// trouble is what a store that fell back to memory says of itself.
type trouble interface{ Trouble() string }

// walkOptions are the walk's, from what the session knows.
func (c *Config) walkOptions(complaint string) faulttree.Options {
	o := c.Walk
	o.Sheet = c.Sheet
	if c.Priors != nil {
		o.Priors = c.Priors(complaint)
	}
	return o
}
