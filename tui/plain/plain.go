// Package plain is the guided walk without the screen: on a plain or dumb terminal, for screen
// readers, or driven by a file of answers.
package plain

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
)

// Session is the running visit as this package needs it.
type Session interface {
	Do(ctx context.Context, c visit.Command) error
	Snapshots() <-chan visit.Snapshot
}

// Reply is what a technician does with an offered step.
type Reply struct {
	// Command for the session; nil with Stop or Cause set ends the walk here.
	Command visit.Command
	Stop    bool
	// Cause is the walk's result, though nobody proved a cure.
	Cause string
}

// Answerer stands for the technician.
type Answerer interface {
	// Probe answers an offered probe that is not read from the feed.
	Probe(ctx context.Context, w *visit.WalkView) (Reply, error)
	// Remedy says whether the offered remedy was carried out.
	Remedy(ctx context.Context, w *visit.WalkView) (Reply, error)
	// End is asked where the walk has nothing more to offer and would hand on.
	End(ctx context.Context, w *visit.WalkView) (Reply, error)
}

// Walk is one guided walk.
type Walk struct {
	Session   Session
	Base      *knowledge.Base
	Complaint string
	Words     string // the customer's own
	Answerer  Answerer
	// Listen is how much feed to hear before the first step; a log is heard to its end. 0 begins at once.
	Listen time.Duration
	// Wait is how long to wait by the clock for a proof to last; then the cure counts as not proven yet.
	Wait time.Duration
	// Out is where the steps are told; nil tells nothing.
	Out io.Writer

	snap visit.Snapshot
}

// maxSteps ends a walk that would not end: more steps than all probes and remedies, twice over.
const maxSteps = 400

// Run walks to the end and returns how it came out.
func (w *Walk) Run(ctx context.Context) (Result, error) {
	if w.Out == nil {
		w.Out = io.Discard
	}
	if err := w.listen(ctx); err != nil {
		return Result{}, err
	}
	if err := w.do(ctx, visit.SetComplaint{ID: w.Complaint, Words: w.Words}); err != nil {
		return Result{}, err
	}
	for range maxSteps {
		end, err := w.step(ctx)
		if err != nil {
			return Result{}, err
		}
		if end != nil {
			return *end, w.close(ctx, *end)
		}
	}
	return Result{}, errors.New("the walk does not come to an end; please report this with the visit's record")
}

// listen hears the feed until there is enough of it, or there will be no more.
func (w *Walk) listen(ctx context.Context) error {
	for w.Listen > 0 {
		if err := w.next(ctx); err != nil {
			return err
		}
		s := &w.snap
		if s.Ended || s.State == visit.Refused || s.Listened >= w.Listen {
			return nil
		}
	}
	return nil
}

func (w *Walk) next(ctx context.Context) error {
	select {
	case s, ok := <-w.Session.Snapshots():
		if !ok {
			return errors.New("the session ended before the walk did")
		}
		w.snap = s
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// do carries out a command and takes the snapshot that shows it.
func (w *Walk) do(ctx context.Context, c visit.Command) error {
	if err := w.Session.Do(ctx, c); err != nil {
		return err
	}
	return w.next(ctx)
}

func (w *Walk) step(ctx context.Context) (*Result, error) {
	v := w.snap.Walk
	o := &v.Offer
	switch {
	case o.Done:
		return w.result("named", o.Cured), nil
	case o.Probe != nil && o.Probe.Kind == "watch":
		return nil, w.watch(ctx)
	case o.Probe != nil:
		return w.asked(ctx, w.Answerer.Probe)
	case o.Remedy != nil:
		return w.asked(ctx, w.Answerer.Remedy)
	}
	return w.asked(ctx, w.Answerer.End)
}

// watch waits until the feed has answered; a feed that ended or fell silent cannot any more.
func (w *Walk) watch(ctx context.Context) error {
	o := w.snap.Walk.Offer
	tell(w.Out, w.snap.Walk)
	until := w.snap.Now.Add(o.Probe.Window + 10*time.Second)
	for w.snap.Walk.Offer.Probe == o.Probe && w.snap.Walk.Offer.Proof == o.Proof {
		if w.snap.Ended || w.snap.State == visit.Gone || w.snap.State == visit.Refused || w.snap.Now.After(until) {
			r, err := w.Answerer.Probe(ctx, w.snap.Walk)
			if err != nil || r.Command == nil {
				r.Command = visit.SkipStep{How: faulttree.CannotTell, Reason: "the feed does not tell"}
			}
			return w.do(ctx, r.Command)
		}
		if err := w.next(ctx); err != nil {
			return err
		}
	}
	return nil
}

// asked tells the offered step, and does what the answerer says to it.
func (w *Walk) asked(ctx context.Context, ask func(context.Context, *visit.WalkView) (Reply, error)) (*Result, error) {
	tell(w.Out, w.snap.Walk)
	r, err := ask(ctx, w.snap.Walk)
	if err != nil {
		return nil, err
	}
	return w.carryOut(ctx, r)
}

// carryOut acknowledges the cautions that were told with the step, then does what was replied.
func (w *Walk) carryOut(ctx context.Context, r Reply) (*Result, error) {
	switch {
	case r.Cause != "":
		return w.result("named", r.Cause), nil
	case r.Stop, r.Command == nil:
		return w.result("handed-on", ""), nil
	}
	if len(w.snap.Walk.Offer.Cautions) > 0 && acts(r.Command) {
		if err := w.do(ctx, visit.Acknowledge{}); err != nil {
			return nil, err
		}
	}
	return nil, w.do(ctx, r.Command)
}

// acts tells whether a command does the offered step, so that its cautions must have been read.
func acts(c visit.Command) bool {
	switch c.(type) {
	case visit.AnswerProbe, visit.TryRemedy:
		return true
	}
	return false
}

// close keeps the outcome on the record.
func (w *Walk) close(ctx context.Context, r Result) error {
	outcome := visit.HandedOn
	switch {
	case w.snap.Walk.Offer.Done && w.snap.Walk.Offer.Proven:
		outcome = visit.MendedProven
	case r.Cause != nil && w.remedied(*r.Cause):
		outcome = visit.MendedOnly
	}
	err := w.do(ctx, visit.CloseVisit{Outcome: outcome})
	var short *visit.ProofTooShort
	for began := time.Now(); errors.As(err, &short); err = w.do(ctx, visit.CloseVisit{Outcome: outcome}) {
		if time.Since(began) >= w.Wait || w.next(ctx) != nil || w.snap.Ended {
			fmt.Fprintln(w.Out, "Mended, not proven:", short)
			outcome = visit.MendedOnly
		}
	}
	if err != nil {
		return fmt.Errorf("keeping the outcome: %w", err)
	}
	return nil
}

func (w *Walk) remedied(cause string) bool {
	for _, t := range w.snap.Walk.Path {
		if t.Step.Act == faulttree.Remedied && t.Step.Cause == cause {
			return true
		}
	}
	return false
}
