package plain

import (
	"context"
	"fmt"
	"time"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
)

// tellEvery is how often a count-down is told, in feed time: a dumb terminal keeps every line.
const tellEvery = 5 * time.Second

// trial watches the feed while the technician does what the step asks: a line with the count-down, the
// live figure and what the feed says so far; when it is through, or when a line is typed meanwhile, the
// technician says how it came out.
func (w *Walk) trial(ctx context.Context, a *Asker) (*Result, error) {
	told := trialTold{out: a}
	for {
		t := w.snap.Walk.Trial
		if t == nil { // ended by what came meanwhile
			return nil, nil
		}
		told.tell(t, w.snap.Now)
		if t.Done || t.Blind || w.snap.Ended {
			told.verdict(t)
			return w.asked(ctx, a.Probe)
		}
		line, typed, err := w.nextOr(ctx, a)
		switch {
		case err != nil:
			return nil, err
		case typed:
			return w.said(ctx, a, line)
		}
	}
}

// takeTrial watches the feed without a person, and takes what it shows.
func (w *Walk) takeTrial(ctx context.Context) error {
	for {
		t := w.snap.Walk.Trial
		switch {
		case t == nil:
			return nil
		case t.Answer != "" && (t.Done || w.snap.Ended):
			return w.do(ctx, visit.AnswerProbe{Probe: t.Probe, Answer: t.Answer})
		case t.Done, t.Blind, w.snap.Ended:
			return w.do(ctx, visit.SkipStep{How: faulttree.CannotTell, Reason: "the feed could not tell: " + t.Why})
		}
		if err := w.next(ctx); err != nil {
			return err
		}
	}
}

// said is a line typed while the feed was watched; one that makes no sense starts the question.
func (w *Walk) said(ctx context.Context, a *Asker, line string) (*Result, error) {
	v := w.snap.Walk
	r, done := a.trialReply(v, line)
	if !done {
		r, done = a.common(v, line)
	}
	if !done {
		return nil, nil // it has been told why; the watching goes on
	}
	return w.carryOut(ctx, r)
}

// trialReply is a reply to a running trial: Enter takes what the feed says so far.
func (a *Asker) trialReply(v *visit.WalkView, line string) (Reply, bool) {
	switch {
	case line == "" && v.Trial != nil && v.Trial.Answer != "":
		return Reply{Command: visit.AnswerProbe{Probe: v.Trial.Probe, Answer: v.Trial.Answer}}, true
	case line == "":
		fmt.Fprintln(a.out, "  the feed cannot tell yet; say the answer yourself, or wait")
		return Reply{}, false
	}
	return a.answered(v, line)
}

// nextOr waits for the next snapshot or for a typed line, whichever comes first.
func (w *Walk) nextOr(ctx context.Context, a *Asker) (line string, typed bool, err error) {
	select {
	case line, ok := <-a.lines:
		if ok {
			return line, true, nil
		}
		a.lines = nil // nobody types any more; the feed may still answer
		return "", false, nil
	case s, ok := <-w.Session.Snapshots():
		if !ok {
			return "", false, errEnded
		}
		w.snap = s
		return "", false, nil
	case <-ctx.Done():
		return "", false, ctx.Err()
	}
}

// trialTold is what of a trial was told last.
type trialTold struct {
	out    *Asker
	at     time.Time
	answer string
}

// tell tells how a trial stands, every few seconds and when the feed says something new.
func (k *trialTold) tell(t *visit.TrialView, now time.Time) {
	if t.Blind || t.Done || !k.at.IsZero() && now.Sub(k.at) < tellEvery && t.Answer == k.answer {
		return
	}
	k.at, k.answer = now, t.Answer
	says := "cannot tell yet"
	if t.Answer != "" {
		says = t.Answer
	}
	fmt.Fprintf(k.out.out, "  %4.0f s left  %-24s %s\n", t.Remaining.Seconds(), t.Figure, says)
}

// verdict tells what the feed has shown, with its evidence.
func (k *trialTold) verdict(t *visit.TrialView) {
	switch {
	case t.Blind:
		fmt.Fprintln(k.out.out, "  "+t.Why)
	case t.Answer != "":
		fmt.Fprintf(k.out.out, "  the feed shows: %s (%s)\n", t.Answer, t.Why)
	default:
		fmt.Fprintf(k.out.out, "  the feed could not tell: %s\n", t.Why)
	}
}
