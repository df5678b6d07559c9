package faulttree

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// asSound answers every probe of a complaint as an installation in good order does most often.
func asSound(t *testing.T, complaint string) Walk {
	w := begin(t, complaint)
	for _, id := range w.Complaint.Probes {
		p := testBase.Probes[id]
		s := Step{Act: Answered, Probe: id, Answer: p.Answers[likeliest(p.Usual)]}
		if p.Kind == "watch" {
			s = Step{Act: Evidence, Grades: map[string]string{id: s.Answer}}
		}
		w = step(t, w, s)
	}
	return w
}

// Where every answer is that of a sound installation no cause is shown, and handing on says so.
func TestASoundInstallationShowsNoCause(t *testing.T) {
	for _, c := range testBase.Complaints {
		w := asSound(t, c.ID)
		for _, s := range w.Suspects() {
			if s.Probability >= 0.05 && s.Cause != Unlisted {
				assert.False(t, s.Shown, "%s: %s", c.ID, s.Cause)
			}
		}
		o := w.Next()
		if o.HandOn {
			assert.Contains(t, o.Why, "an installation in good order", c.ID)
		} else {
			assert.Contains(t, o.Why, "no answer shows it", c.ID)
		}
	}
}

// A typical answer of a cause shows it; before anything was said nothing is shown.
func TestATypicalAnswerShowsItsCause(t *testing.T) {
	w := begin(t, "no-echo")
	assert.False(t, w.Suspects()[0].Shown)
	assert.NotContains(t, w.Next().Why, "good order")
	w = step(t, w, Step{Act: Answered, Probe: "echo-continuity", Answer: "open or on the wrong terminal"})
	assert.Equal(t, "trigger-open", w.Suspects()[0].Cause)
	assert.True(t, w.Suspects()[0].Shown)
}
