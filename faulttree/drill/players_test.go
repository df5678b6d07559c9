package drill_test

import (
	"context"
	"slices"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/drill"
	"example.org/tankhand/faulttree/visit"
)

// answer answers the offered probe as the installation shows it; what the feed or the installation
// cannot tell is passed over.
func answer(d *drilled, w *visit.WalkView, said string) visit.Command {
	p := w.Offer.Probe
	word, _, ok := d.inst.Answer(p.ID, p.Answers)
	if said != "" {
		word, ok = said, true
	}
	if p.Kind == "watch" || !ok {
		return drill.CannotTell("it does not show")
	}
	return visit.AnswerProbe{Probe: p.ID, Answer: word}
}

// closing hands over as the walk stands.
func closing(d *drilled, w *visit.WalkView, mended int) visit.Command {
	switch {
	case mended == 0:
		return visit.CloseVisit{Outcome: visit.NoFaultFound}
	case w.Offer.Done && w.Offer.Proven:
		return visit.CloseVisit{Outcome: visit.MendedProven}
	}
	return visit.CloseVisit{Outcome: visit.MendedOnly}
}

// follower does what the lesson says: the probes of its path with the lesson's answers, then its causes.
type follower struct {
	d      *drilled
	path   []string
	mended int
}

func (f *follower) Turn(_ context.Context, now visit.Snapshot, last error) (visit.Command, error) {
	w := now.Walk
	o := &w.Offer
	if last != nil && len(f.path) > 0 { // a probe that this complaint does not ask, or not now
		f.path = f.path[1:]
	}
	switch {
	case !w.AckedCautions:
		return visit.Acknowledge{}, nil
	case o.Proof:
		return answer(f.d, w, ""), nil
	case len(f.path) == 0:
		return closing(f.d, w, f.mended), nil
	}
	id := f.path[0]
	if f.d.opt.Base.Probes[id] != nil {
		if o.Probe != nil && o.Probe.ID == id {
			f.path = f.path[1:]
			return answer(f.d, w, f.d.opt.Lesson.Answers[id]), nil
		}
		return visit.AskProbe{Probe: id}, nil
	}
	if o.Remedy != nil && o.Remedy.ID == id {
		f.path = f.path[1:]
		f.mended++
	}
	return visit.TryRemedy{Cause: id}, nil
}

// swapper asks nothing and always takes the first suspect's remedy, until the walk says that it is done.
type swapper struct {
	d     *drilled
	tried []string
}

// mostSwaps is when even a swapper gives up.
const mostSwaps = 5

func (s *swapper) Turn(_ context.Context, now visit.Snapshot, last error) (visit.Command, error) {
	w := now.Walk
	o := &w.Offer
	switch {
	case last != nil:
		return visit.CloseVisit{Outcome: visit.MendedOnly}, nil
	case !w.AckedCautions:
		return visit.Acknowledge{}, nil
	case o.Proof:
		return answer(s.d, w, ""), nil
	case o.Done || len(s.tried) >= mostSwaps:
		return closing(s.d, w, len(s.tried)), nil
	case o.Remedy != nil && !slices.Contains(s.tried, o.Remedy.ID):
		s.tried = append(s.tried, o.Remedy.ID)
		return visit.TryRemedy{Cause: o.Remedy.ID}, nil
	}
	for _, u := range w.Suspects {
		if u.Cause != faulttree.Unlisted && !slices.Contains(s.tried, u.Cause) {
			return visit.TryRemedy{Cause: u.Cause}, nil
		}
	}
	return closing(s.d, w, len(s.tried)), nil
}
