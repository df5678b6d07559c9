package plain

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
)

// close keeps the outcome on the record.
func (w *Walk) close(ctx context.Context, end *Result) error {
	began := time.Now()
	err := w.do(ctx, visit.CloseVisit{Outcome: end.closedAs})
	for short := (*visit.ProofTooShort)(nil); errors.As(err, &short); err = w.do(ctx, visit.CloseVisit{Outcome: end.closedAs}) {
		if !w.lasts(ctx, short, began) {
			fmt.Fprintln(w.Out, "Mended, not proven:", short)
			end.closedAs = visit.MendedOnly
		}
	}
	if err != nil {
		return fmt.Errorf("keeping the outcome: %w", err)
	}
	return nil
}

// lasts waits for more of the proof; false gives it up. A person decides that, by a line.
func (w *Walk) lasts(ctx context.Context, short *visit.ProofTooShort, began time.Time) bool {
	a, person := w.Answerer.(*Asker)
	if w.snap.Ended {
		return false
	}
	if !person {
		return time.Since(began) < w.Wait && w.next(ctx) == nil
	}
	if w.told != waiting {
		w.told = waiting
		fmt.Fprintf(w.Out, "  %v\n  watching on; it closes as proven by itself. Enter closes it now as %q: ", short, visit.MendedOnly)
	}
	_, typed, err := w.nextOr(ctx, a)
	return err == nil && !typed
}

// waiting is what was told last while a proof is to last.
const waiting = "waiting for the proof to last"

// outcome is how the visit ends by what was done, unless somebody says otherwise.
func (w *Walk) outcome() string {
	switch {
	case w.snap.Walk.Proven:
		return visit.MendedProven
	case w.remedied():
		return visit.MendedOnly
	case w.refused():
		return visit.NotSafeToday
	}
	return visit.HandedOn
}

// refused tells whether a step was not safe today.
func (w *Walk) refused() bool {
	return slices.ContainsFunc(w.snap.Walk.Path, func(t faulttree.Taken) bool { return t.Step.Act == faulttree.NotSafe })
}

// remedied tells whether anything was mended.
func (w *Walk) remedied() bool {
	for _, t := range w.snap.Walk.Path {
		if t.Step.Act == faulttree.Remedied && w.snap.Walk.Offer.Done {
			return true
		}
	}
	return false
}
