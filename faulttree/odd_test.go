package faulttree

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/knowledge"
)

func TestOddAsksAgainWhatWasSaidAndDoubtsWhatTheFeedSays(t *testing.T) {
	w := begin(t, "no-echo")
	_, ok := w.Odd()
	assert.False(t, ok, "nothing was said yet")
	for p, a := range map[string]string{"sensor-face": "dry and clean", "echo-continuity": "open or on the wrong terminal",
		"terminals-look": "loose or corroded", "face-gap": "inside it"} {
		w = step(t, w, Step{Act: Answered, Probe: p, Answer: a})
	}
	odd, ok := w.Odd()
	require.True(t, ok)
	assert.Equal(t, "face-gap", odd.Probe)
	assert.Contains(t, odd.String(), "if in doubt, ask it again")
	again := step(t, w, Step{Act: Answered, Probe: "face-gap", Answer: testBase.Probes["face-gap"].Answers[0]})
	_, ok = again.Odd()
	assert.False(t, ok, "the newest answer counts")
}

// oddCourse is one visit drawn from the model itself: the feed's answers, then what the rule asks, until it
// would act. A slip writes down another answer to one probe that a person answered.
func oddCourse(r *rand.Rand, c *knowledge.Complaint, slip bool) (w Walk, slipped string) {
	w, _ = Start(testBase, c.ID, Options{})
	m := w.env.m
	said, s := draws(r, m, draw(r, m.prior)), m.start()
	var asked []int
	for p := range m.probes {
		if m.probes[p].watch {
			asked = append(asked, p)
			m.take(&s, p, said[p])
		}
	}
	fed := len(asked)
	for next := m.next(&s); next.probe >= 0; next = m.next(&s) {
		asked = append(asked, next.probe)
		m.take(&s, next.probe, said[next.probe])
	}
	wrong := -1
	if slip && len(asked) > fed {
		wrong = asked[fed+r.IntN(len(asked)-fed)]
		n := len(m.probes[wrong].words)
		said[wrong] = (said[wrong] + 1 + r.IntN(n-1)) % n
		slipped = m.probes[wrong].id
	}
	for _, p := range asked {
		pm := &m.probes[p]
		st := Step{Act: Answered, Probe: pm.id, Answer: pm.words[said[p]]}
		if pm.watch {
			st = Step{Act: Evidence, Grades: map[string]string{pm.id: pm.words[said[p]]}}
		}
		w, _ = w.Apply(st)
	}
	return w, slipped
}

// An honest visit is seldom told that an answer looks odd, one with a slip far oftener; and then the slip is
// named much oftener than by chance. Measured on visits drawn from the model itself.
func TestOddIsSeldomSaidOfAnHonestVisit(t *testing.T) {
	r, n := rand.New(rand.NewPCG(3, 9)), 0
	honest, told, named, chance := 0, 0, 0, 0.0
	for _, c := range testBase.Complaints {
		for range 40 {
			n++
			if w, _ := oddCourse(r, c, false); said(w) != "" {
				honest++
				o, _ := w.Odd()
				assert.Equal(t, testBase.Probes[o.Probe].Kind == "watch", o.Feed)
				assert.Equal(t, o.Feed, strings.Contains(o.String(), "two faults"), "nobody is asked to say again what the feed said")
			}
			w, slipped := oddCourse(r, c, true)
			if odd := said(w); odd != "" {
				told++
				chance += 1 / float64(len(w.Steps()))
				if odd == slipped {
					named++
				}
			}
		}
	}
	t.Logf("of %d honest visits %d are told, of as many with one slip %d; the slip is named in %d, by chance in %.0f", n, honest, told, named, chance)
	assert.Less(t, honest, n/6)
	assert.Greater(t, told, honest+honest/2)
	assert.Greater(t, float64(named), 2*chance)
}

func said(w Walk) string {
	o, _ := w.Odd()
	return o.Probe
}
