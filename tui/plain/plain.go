// Package plain is the guided walk without the screen: on a plain or dumb terminal, for screen
// readers, or driven by a file of answers.
package plain

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"time"

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
	// Outcome with Stop says how the visit ends, in the record's words; "" goes by what was done.
	Outcome string
	// Leave leaves the visit open, to be taken up again.
	Leave bool
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
	// TakenUp: the visit was begun before; it goes on where it stood.
	TakenUp  bool
	Answerer Answerer
	// Listen is how much feed to hear before the first step; a log is heard to its end. 0 begins at once.
	Listen time.Duration
	// Wait is how long to wait by the clock for a proof to last; then the cure counts as not proven yet.
	Wait time.Duration
	// Level is the level in one line, told once after listening; nil tells none.
	Level func(*visit.Snapshot) string
	// Out is where the steps are told; nil tells nothing.
	Out io.Writer

	snap visit.Snapshot
	told string // the step that was told last
	fed  map[string]bool
}

var errEnded = errors.New("the session ended before the walk did")

// most is how many steps a walk may take: a person knows when to stop.
func (w *Walk) most() int {
	if _, person := w.Answerer.(*Asker); person {
		return math.MaxInt
	}
	return maxSteps
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
	if err := w.begin(ctx); err != nil {
		return Result{}, err
	}
	if w.Level != nil {
		fmt.Fprintln(w.Out, w.Level(&w.snap))
	}
	for range w.most() {
		end, err := w.step(ctx)
		if err != nil {
			return Result{}, err
		}
		if end != nil {
			if end.left {
				return *end, nil
			}
			if end.closedAs == "" {
				end.closedAs = w.outcome()
			}
			err := w.close(ctx, end)
			return *end, err
		}
	}
	return Result{}, errors.New("the walk does not come to an end; please report this with the visit's record")
}

// begin sets the complaint; a visit that is taken up again about the same goes on where it stood.
func (w *Walk) begin(ctx context.Context) error {
	if w.TakenUp {
		if err := w.next(ctx); err != nil {
			return err
		}
		if v := w.snap.Walk; v != nil && v.Complaint == w.Complaint {
			return nil
		}
	}
	return w.do(ctx, visit.SetComplaint{ID: w.Complaint, Words: w.Words})
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
			return errEnded
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
	a, person := w.Answerer.(*Asker)
	switch {
	case person && v.Trial != nil:
		return w.trial(ctx, a)
	case v.Trial != nil:
		return nil, w.takeTrial(ctx)
	case o.Done && person:
		return w.asked(ctx, a.End)
	case o.Done:
		w.tell()
		return w.result("named", v.Cause()), nil
	case o.Probe != nil && o.Probe.Kind == "watch":
		return w.watch(ctx)
	case o.Probe != nil:
		return w.asked(ctx, w.Answerer.Probe)
	case o.Remedy != nil:
		return w.asked(ctx, w.Answerer.Remedy)
	}
	return w.asked(ctx, w.Answerer.End)
}

// asked tells the offered step, and does what the answerer says to it.
func (w *Walk) asked(ctx context.Context, ask func(context.Context, *visit.WalkView) (Reply, error)) (*Result, error) {
	w.tell()
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
	case r.Leave:
		end := w.result("handed-on", "")
		end.left = true
		return end, nil
	case r.Stop && w.snap.Walk.Offer.Done:
		end := w.result("named", w.snap.Walk.Cause())
		end.closedAs = r.Outcome
		return end, nil
	case r.Stop, r.Command == nil:
		end := w.result("handed-on", "")
		end.closedAs = r.Outcome
		return end, nil
	}
	if _, person := w.Answerer.(*Asker); person {
		return nil, w.tried(ctx, r.Command)
	}
	if len(w.snap.Walk.Offer.Cautions) > 0 && acts(r.Command) {
		if err := w.do(ctx, visit.Acknowledge{}); err != nil {
			return nil, err
		}
	}
	return nil, w.do(ctx, r.Command)
}

// tried does what a person said; a refusal is told, and the step stays.
func (w *Walk) tried(ctx context.Context, c visit.Command) error {
	if _, note := c.(visit.AddNote); note {
		fmt.Fprintln(w.Out, "  noted")
	}
	err := w.Session.Do(ctx, c)
	if err != nil && ctx.Err() == nil {
		fmt.Fprintln(w.Out, "  "+err.Error())
		w.told = ""
		return nil
	}
	if err != nil {
		return err
	}
	return w.next(ctx)
}

// tell tells the offered step, once.
func (w *Walk) tell() {
	o := &w.snap.Walk.Offer
	if step := fmt.Sprint(o.Title, o.Proof, len(w.snap.Walk.Path)); step != w.told {
		w.told = step
		w.tellEvidence()
		tell(w.Out, w.snap.Walk)
	}
}

// acts tells whether a command does the offered step, so that its cautions must have been read.
func acts(c visit.Command) bool {
	switch c.(type) {
	case visit.AnswerProbe, visit.TryRemedy, visit.BeginTrial:
		return true
	}
	return false
}
