package bench

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
)

// likeliest is the answer that a walk expects most.
func likeliest(o faulttree.Offer) string {
	best, answer := -1.0, o.Probe.Answers[0]
	for _, b := range o.Branches {
		if b.Probability > best {
			best, answer = b.Probability, b.Answer
		}
	}
	return answer
}

// next is the step of a technician who does what is offered and finds what is expected.
func next(o faulttree.Offer) (faulttree.Step, bool) {
	switch {
	case o.Probe != nil && o.Proof:
		return faulttree.Step{Act: faulttree.ProofRun, Probe: o.Probe.ID, Answer: o.Want}, true
	case o.Probe != nil:
		return faulttree.Step{Act: faulttree.Answered, Probe: o.Probe.ID, Answer: likeliest(o)}, true
	case o.Remedy != nil:
		return faulttree.Step{Act: faulttree.Remedied, Cause: o.Remedy.ID}, true
	}
	return faulttree.Step{}, false
}

// Whatever the knowledge asks, all its answers, or its cautions to the last word, must be reachable on
// a small screen.
func TestEveryStepOfTheShippedKnowledgeFitsTheScreen(t *testing.T) {
	base, err := knowledge.Load("")
	require.NoError(t, err)
	for _, c := range base.Complaints {
		t.Run(c.ID, func(t *testing.T) {
			w, err := faulttree.Start(base, c.ID, faulttree.Options{Sheet: sceneSheet()})
			require.NoError(t, err)
			for range 30 {
				o := w.Next()
				checkStep(t, w, o, 80, 24)
				checkStep(t, w, o, 40, 12)
				checkStep(t, w, o, 120, 36)
				step, ok := next(o)
				if !ok {
					return
				}
				w, err = w.Apply(step)
				require.NoError(t, err)
			}
		})
	}
}

func checkStep(t *testing.T, w faulttree.Walk, o faulttree.Offer, width, height int) {
	s := picking()
	s.Walk = &visit.WalkView{Complaint: w.Complaint.ID, Title: w.Complaint.Title, Path: w.Path(), Suspects: w.Suspects(), Offer: o, Minutes: 5}
	m, f := at(width, height, s, Options{})
	if len(o.Cautions) > 0 {
		for range 40 {
			m = press(m, "down")
		}
		assert.Contains(t, m.View(), "> a I have read this")
		press(m, "a")
		assert.Contains(t, f.done, visit.Acknowledge{})
	}
	s.Walk.AckedCautions = true
	m, _ = at(width, height, s, Options{})
	view := m.View()
	switch {
	case o.Probe != nil && len(o.Limits) > 0:
		assert.Contains(t, view, "type the reading")
	case o.Probe != nil:
		for i, a := range o.Probe.Answers {
			assert.Contains(t, view, string(rune('1'+i))+" "+firstWord(a), "%s at %dx%d:\n%s", o.Probe.ID, width, height, view)
		}
	default:
		assert.Contains(t, view, "> Enter ", view)
	}
}

func firstWord(s string) string { return strings.Fields(s)[0] }
