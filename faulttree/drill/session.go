package drill

import (
	"context"
	"errors"
	"sync"
	"time"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
)

// Installation is what the trainee works on.
type Installation interface {
	// Answer is what a technician would see or measure now: a word of the answers and, for a meter, its
	// reading in SI (else NaN). It leaves no trace. ok is false where the installation cannot show it.
	Answer(probe string, answers []string) (word string, value float64, ok bool)
	// Do carries out a remedy by its cause, or the action of a prompted probe.
	Do(action string) error
	// Pass lets time go by at once; Left is how much of it has not gone by yet.
	Pass(d time.Duration)
	Left() time.Duration
}

// Running is the visit that the trainee works, as a visit.Session is.
type Running interface {
	Do(ctx context.Context, c visit.Command) error
	Snapshots() <-chan visit.Snapshot
	Close() error
}

// Options of a drill.
type Options struct {
	Lesson  *Lesson
	Trainee string
	Base    *knowledge.Base
	// Exam: no hints.
	Exam bool
	// Catch bounds how long to wait, by the clock, until the feed has caught up with time that passed at
	// once; 0 is long enough for a slow machine.
	Catch time.Duration
}

// catchUp is how long a slow machine may take to play half an hour of feed.
const catchUp = 20 * time.Second

// Session is a visit on a drill: it stands between the trainee and the running visit, carries out on the
// installation what the trainee does, and lets its minutes pass at once.
type Session struct {
	opt  Options
	in   Running
	inst Installation

	order sync.Mutex // one command at a time
	asks  chan chan struct{}
	out   chan visit.Snapshot
	over  chan struct{}

	mu    sync.Mutex
	snap  visit.Snapshot
	paid  map[string]float64 // minutes that have passed for the offered step
	watch watching
	log   Log
}

// Begin puts a drill before a running visit. The installation has run for the lesson's time before the
// trainee comes.
func Begin(in Running, inst Installation, opt Options) *Session {
	if opt.Catch == 0 {
		opt.Catch = catchUp
	}
	s := &Session{opt: opt, in: in, inst: inst, asks: make(chan chan struct{}), out: make(chan visit.Snapshot, 1),
		over: make(chan struct{}), paid: map[string]float64{}, log: Log{Truths: map[string][]Truth{}}}
	inst.Pass(opt.Lesson.Listen)
	go s.relay()
	return s
}

// Snapshots carries the newest snapshot, as the visit's own does.
func (s *Session) Snapshots() <-chan visit.Snapshot { return s.out }

// Close ends the visit.
func (s *Session) Close() error {
	err := s.in.Close()
	<-s.over
	return err
}

// Log is what the record of the visit does not hold.
func (s *Session) Log() Log {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.log.clone()
}

// Listened waits until the feed has run as long as the lesson says, or cannot.
func (s *Session) Listened(ctx context.Context) error {
	return s.until(ctx, func(n visit.Snapshot) bool { return n.Listened >= s.opt.Lesson.Listen-time.Second })
}

// relay hands the snapshots on, and lets the time pass that the offered step only waits for.
func (s *Session) relay() {
	defer close(s.over)
	defer close(s.out)
	for {
		select {
		case snap, ok := <-s.in.Snapshots():
			if !ok {
				return
			}
			s.take(snap)
		case done := <-s.asks:
			select {
			case snap, ok := <-s.in.Snapshots():
				if ok {
					s.take(snap)
				}
			default:
			}
			close(done)
		}
	}
}

func (s *Session) take(snap visit.Snapshot) {
	s.mu.Lock()
	s.snap = snap
	more := s.watch.next(&snap)
	s.log.Waited += more.Minutes()
	s.mu.Unlock()
	if more > 0 {
		s.inst.Pass(more)
	}
	for {
		select {
		case s.out <- snap:
			return
		default:
		}
		select {
		case <-s.out:
		default:
		}
	}
}

// newest is the newest snapshot, everything that was sent so far taken in.
func (s *Session) newest() visit.Snapshot {
	done := make(chan struct{})
	select {
	case s.asks <- done:
		<-done
	case <-s.over:
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.snap
}

// Do carries out a command of the trainee on the installation and on the record.
func (s *Session) Do(ctx context.Context, c visit.Command) error {
	s.order.Lock()
	defer s.order.Unlock()
	before := s.newest()
	if err := s.prepare(ctx, c, &before); err != nil {
		return err
	}
	err := s.in.Do(ctx, c)
	var short *visit.ProofTooShort
	if errors.As(err, &short) { // the proof lasts as long as it must; the trainee waits
		if err = s.wait(ctx, short.Due-short.Watched+time.Second); err == nil {
			err = s.in.Do(ctx, c)
		}
	}
	s.done(c, &before, err)
	s.newest() // whoever takes a snapshot now sees what became of the command
	return err
}

// prepare does on the installation what the command says was done.
func (s *Session) prepare(ctx context.Context, c visit.Command, before *visit.Snapshot) error {
	w := before.Walk
	if w == nil || !w.AckedCautions {
		return nil // the visit says what is wrong
	}
	o := &w.Offer
	switch c := c.(type) {
	case visit.AnswerProbe:
		if o.Probe != nil && o.Probe.ID == c.Probe {
			s.look(o)
			return s.pay(ctx, o)
		}
	case visit.BeginTrial:
		if o.Probe != nil {
			s.look(o)
		}
	case visit.SkipStep:
		if c.How == faulttree.CannotTell && o.Probe != nil {
			return s.pay(ctx, o)
		}
	case visit.TryRemedy:
		if o.Remedy != nil && (c.Cause == "" || c.Cause == o.Remedy.ID) {
			if err := s.pay(ctx, o); err != nil {
				return err
			}
			return s.inst.Do(o.Remedy.ID)
		}
	}
	return nil
}

// done notes what became of a command.
func (s *Session) done(c visit.Command, before *visit.Snapshot, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err != nil {
		if w := before.Walk; w != nil && !w.AckedCautions && does(c) {
			s.log.Lapses = append(s.log.Lapses, Lapse{Step: w.Offer.Title, How: "tried to go on without acknowledging it", Hazards: hazards(w.Offer.Cautions)})
		}
		return
	}
	switch c := c.(type) {
	case visit.AnswerProbe:
		if before.Walk != nil {
			s.log.took(c.Probe, s.watch.truth)
		}
	case visit.TryRemedy:
		if o := &before.Walk.Offer; o.Remedy != nil && (c.Cause == "" || c.Cause == o.Remedy.ID) {
			s.log.Mended = append(s.log.Mended, o.Remedy.ID)
		}
	case visit.BeginTrial:
		if p := before.Walk.Offer.Probe; p != nil {
			_ = s.inst.Do(p.ID) // a probe with nothing to do on the installation is only watched
		}
	}
	if consumes(c) {
		s.paid, s.watch.truth = map[string]float64{}, nil
		s.watch.reset()
	}
}

// consumes tells whether a command ends the offered step, so that the next begins anew.
func consumes(c visit.Command) bool {
	switch c.(type) {
	case visit.AnswerProbe, visit.TryRemedy, visit.SkipStep, visit.UndoLast, visit.AskProbe, visit.TakeBetter:
		return true
	}
	return false
}

// does tells whether a command carries the offered step out.
func does(c visit.Command) bool {
	switch c.(type) {
	case visit.AnswerProbe, visit.TryRemedy, visit.BeginTrial:
		return true
	}
	return false
}

func hazards(all []faulttree.Caution) (out []string) {
	for _, c := range all {
		out = append(out, c.Hazard)
	}
	return out
}
