package drill

import (
	"context"
	"errors"
	"time"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
)

// watching follows an offered step that only waits for the feed: a watch probe, or a trial that was
// begun. Its time passes at once, too.
type watching struct {
	offered string
	until   time.Time // feed time up to which time was let pass
	times   int
	truth   *Truth // of the offered probe, as the installation showed it
}

// A step that waits is hurried along so many times; after that the trainee decides.
const mostWaits = 6

// longestWait is how long a trainee waits for the feed in one go: a step that needs a night is another
// day's, and is passed over here.
const longestWait = time.Hour

// afterWindow is let pass beyond a probe's window, so that the check has it behind it.
const afterWindow = 5 * time.Second

// next is how much time is to pass now for the offered step.
func (w *watching) next(s *visit.Snapshot) time.Duration {
	if s.Walk == nil || s.Ended || s.State == visit.Refused {
		return 0
	}
	o := &s.Walk.Offer
	if word := o.Key(); word != w.offered {
		w.offered, w.until, w.times = word, time.Time{}, 0
	}
	var need time.Duration
	switch t := s.Walk.Trial; {
	case t != nil && !t.Done && t.Answer == "":
		need = t.Remaining
	case o.Probe != nil && o.Probe.Kind == "watch":
		need = o.Probe.Window + afterWindow
	}
	if need > longestWait {
		w.times = mostWaits
	}
	if need <= 0 || w.times >= mostWaits || s.Now.Before(w.until) {
		return 0
	}
	w.times++
	w.until = s.Now.Add(need)
	return need
}

func (w *watching) reset() { w.offered = "" }

// pay lets the minutes of the offered step pass, once.
func (s *Session) pay(ctx context.Context, o *faulttree.Offer) error {
	s.mu.Lock()
	word := o.Key()
	due := o.Minutes - s.paid[word]
	if due > 0 {
		s.paid[word] = o.Minutes
		s.log.Minutes += due
	}
	s.mu.Unlock()
	if due <= 0 {
		return nil
	}
	return s.pass(ctx, minutes(due))
}

// wait lets time pass in which nobody works.
func (s *Session) wait(ctx context.Context, d time.Duration) error {
	s.mu.Lock()
	s.log.Waited += d.Minutes()
	s.mu.Unlock()
	return s.pass(ctx, d)
}

func minutes(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// pass lets time go by and waits until the visit has seen it.
func (s *Session) pass(ctx context.Context, d time.Duration) error {
	target := s.newest().Now.Add(d - time.Second)
	s.inst.Pass(d)
	return s.until(ctx, func(n visit.Snapshot) bool { return !n.Now.Before(target) })
}

// idle is how long, by the clock, the installation must have stood still until what it sent has surely
// come to the visit.
const idle = 400 * time.Millisecond

// until waits for the feed, but not for one that cannot come: when all time that was to pass has passed,
// a feed that tells no time tells no more.
func (s *Session) until(ctx context.Context, reached func(visit.Snapshot) bool) error {
	tick := time.NewTicker(20 * time.Millisecond)
	defer tick.Stop()
	late := time.NewTimer(s.opt.Catch)
	defer late.Stop()
	moved := time.Now()
	for {
		n := s.newest()
		if reached(n) || n.Ended || n.State == visit.Refused {
			return nil
		}
		if s.inst.Left() >= time.Second {
			moved = time.Now()
		} else if time.Since(moved) > idle {
			return nil
		}
		select {
		case <-tick.C:
		case <-late.C: // a feed that tells no time, or a machine that is too slow: go on
			return nil
		case <-s.over:
			return errors.New("the visit has ended")
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}
