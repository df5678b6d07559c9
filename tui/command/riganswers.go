package command

import (
	"context"
	"math"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/plain"
)

// rigAnswers lets the practice rig answer, truthfully; the session carries remedies out on it.
type rigAnswers struct{ rig *practice }

// Probe implements plain.Answerer.
func (a *rigAnswers) Probe(_ context.Context, w *visit.WalkView) (plain.Reply, error) {
	p := w.Offer.Probe
	word, value, ok := a.rig.Answer(p.ID, p.Answers)
	switch {
	case !ok:
		return plain.Reply{Command: visit.SkipStep{How: faulttree.CannotTell, Reason: "the practice rig cannot show it"}}, nil
	case !math.IsNaN(value) && p.Unit != "" && len(w.Offer.Limits) > 0:
		return plain.Reply{Command: visit.AnswerProbe{Probe: p.ID, Value: &value}}, nil
	}
	return plain.Reply{Command: visit.AnswerProbe{Probe: p.ID, Answer: word}}, nil
}

// Remedy implements plain.Answerer; nothing is mended that no answer shows.
func (a *rigAnswers) Remedy(_ context.Context, w *visit.WalkView) (plain.Reply, error) {
	for _, s := range w.Suspects {
		if s.Cause == w.Offer.Remedy.ID && !s.Shown {
			return plain.Reply{Stop: true}, nil
		}
	}
	return plain.Reply{Command: visit.TryRemedy{}}, nil
}

// End implements plain.Answerer: what the rig could answer has been asked.
func (a *rigAnswers) End(context.Context, *visit.WalkView) (plain.Reply, error) {
	return plain.Reply{Stop: true}, nil
}
