package plain

import (
	"context"
	"fmt"
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
)

// hesitation is what a watch probe is given beyond its window before somebody is asked instead.
const hesitation = 10 * time.Second

// watch waits until the feed has answered; a feed that ended or fell silent cannot any more. A person may
// answer by hand, or pass on, meanwhile, and is not hurried while the feed lives.
func (w *Walk) watch(ctx context.Context) (*Result, error) {
	w.tell()
	a, person := w.Answerer.(*Asker)
	o, told := w.snap.Walk.Offer, ""
	window := o.Probe.Window
	if o.Proof { // so long may a cure take before it is called failed
		window *= visit.Patience
	}
	until := w.snap.Now.Add(window + hesitation)
	for w.snap.Walk.Offer.Probe == o.Probe && w.snap.Walk.Offer.Proof == o.Proof {
		switch {
		case person && w.deaf():
			fmt.Fprintln(w.Out, "  the feed does not tell any more; say what you see")
			return w.asked(ctx, a.Probe)
		case !person && (w.deaf() || w.snap.Now.After(until)):
			return nil, w.unwatched(ctx)
		case !person:
			if err := w.next(ctx); err != nil {
				return nil, err
			}
			continue
		}
		told = w.tellSeen(o.Probe.Check, told)
		line, typed, err := w.nextOr(ctx, a)
		switch {
		case err != nil:
			return nil, err
		case typed:
			return w.said(ctx, a, line)
		}
	}
	return nil, nil
}

// deaf: the feed will not tell anything more.
func (w *Walk) deaf() bool {
	return w.snap.Ended || w.snap.State == visit.Gone || w.snap.State == visit.Refused
}

// unwatched asks whoever answers for what the feed does not tell.
func (w *Walk) unwatched(ctx context.Context) error {
	r, err := w.Answerer.Probe(ctx, w.snap.Walk)
	if err != nil || r.Command == nil {
		r.Command = visit.SkipStep{How: faulttree.CannotTell, Reason: "the feed does not tell"}
	}
	return w.do(ctx, r.Command)
}

// tellSeen tells what a check sees, when it says something else than before.
func (w *Walk) tellSeen(check, before string) string {
	for _, f := range w.snap.Findings {
		if f.Check != check || f.Why == "" || seen(f) == before {
			continue
		}
		fmt.Fprintf(w.Out, "  watching: %s\n", f.Why)
		return seen(f)
	}
	return before
}

func seen(f diagnostics.Finding) string { return fmt.Sprint(f.Verdict, f.Grades) }
