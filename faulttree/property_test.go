package faulttree

import (
	"math"
	"slices"
	"testing"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree/knowledge"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var testBase = func() *knowledge.Base { b, _ := knowledge.Load(""); return b }()

// randomWalk draws a complaint and some answers to its probes.
func randomWalk(t *rapid.T) (Walk, []Step) {
	c := rapid.SampledFrom(testBase.Complaints).Draw(t, "complaint")
	w, err := Start(testBase, c.ID, Options{})
	require.NoError(t, err)
	var steps []Step
	for _, id := range c.Probes {
		p := testBase.Probes[id]
		if rapid.Bool().Draw(t, id) {
			steps = append(steps, Step{Act: Answered, Probe: id, Answer: rapid.SampledFrom(p.Answers).Draw(t, "answer")})
		}
	}
	return w, steps
}

func applyAll(t require.TestingT, w Walk, steps []Step) Walk {
	for _, s := range steps {
		var err error
		w, err = w.Apply(s)
		require.NoError(t, err)
	}
	return w
}

func belief(w Walk) map[string]float64 {
	out := map[string]float64{}
	for _, s := range w.Suspects() {
		out[s.Cause] = s.Probability
	}
	return out
}

func same(t require.TestingT, a, b map[string]float64) {
	for id, p := range a {
		require.InDelta(t, p, b[id], 1e-9, id)
	}
}

func TestBeliefDoesNotDependOnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, steps := randomWalk(t)
		shuffled := rapid.Permutation(steps).Draw(t, "order")
		same(t, belief(applyAll(t, w, steps)), belief(applyAll(t, w, shuffled)))
	})
}

func TestAddThenUndoIsIdentity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, steps := randomWalk(t)
		if len(steps) == 0 {
			return
		}
		w = applyAll(t, w, steps[:len(steps)-1])
		next, err := w.Apply(steps[len(steps)-1])
		require.NoError(t, err)
		back, ok := next.Undo()
		require.True(t, ok)
		require.Equal(t, w.Steps(), back.Steps())
		same(t, belief(w), belief(back))
		require.Equal(t, len(steps), len(next.Steps()), "the walk that was undone is as it was")
	})
}

func TestSkipChangesNoBelief(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, steps := randomWalk(t)
		w = applyAll(t, w, steps)
		before := belief(w)
		for _, id := range w.Complaint.Probes {
			w = applyAll(t, w, []Step{{Act: rapid.SampledFrom([]Act{Skipped, CannotTell, NotSafe}).Draw(t, "act"), Probe: id}})
		}
		same(t, before, belief(w))
	})
}

func TestNoCauseReachesZero(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, steps := randomWalk(t)
		total := 0.0
		for id, p := range belief(applyAll(t, w, steps)) {
			require.Greater(t, p, 0.0, id)
			require.False(t, math.IsNaN(p))
			total += p
		}
		require.InDelta(t, 1, total, 1e-9)
	})
}

func TestSameStepsGiveTheSameOffer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, steps := randomWalk(t)
		a, b := applyAll(t, w, steps).Next(), applyAll(t, w, steps).Next()
		require.Equal(t, a.Title, b.Title)
		require.NotEmpty(t, a.Why)
	})
}

// Identities of information on every probe of the shipped knowledge.
func TestIdentitiesOfInformation(t *testing.T) {
	for _, c := range testBase.Complaints {
		m := compile(testBase, c, Options{})
		s := m.start()
		l := newLooker(m)
		swap, _ := l.remediesOnly(s.weight, s.tried)
		for p := range m.probes {
			chances, g := m.chances(s.weight, p), m.gain(s.weight, p)
			given := 0.0
			mean := make([]float64, len(s.weight))
			for cause, w := range s.weight {
				var row []float64
				for a := range chances {
					row = append(row, m.probes[p].like[a][cause])
				}
				given += w * entropy(row)
			}
			assert.InDelta(t, entropy(chances)-given, g, 1e-9, "gain = H(F) - H(F|C)")
			assert.LessOrEqual(t, g, math.Log2(float64(len(chances)))+1e-9)
			value := 0.0
			for a, q := range chances {
				next := s.clone()
				m.take(&next, p, a)
				for cause := range mean {
					mean[cause] += q * next.weight[cause]
				}
				v, _ := l.remediesOnly(next.weight, next.tried)
				value += q * v
			}
			assert.InDeltaSlice(t, s.weight, mean, 1e-9, "the mean belief after is the belief before")
			assert.LessOrEqual(t, value, swap+1e-9, "a free probe never costs: %s", m.probes[p].id)
		}
		chainRule(t, m, 0, len(m.probes)-1)
	}
}

// chainRule: two probes bring the same together in either order.
func chainRule(t *testing.T, m *model, p, q int) {
	together := func(p, q int) float64 {
		s := m.start()
		bits := m.gain(s.weight, p)
		for a, chance := range m.chances(s.weight, p) {
			next := s.clone()
			m.take(&next, p, a)
			bits += chance * m.gain(next.weight, q)
		}
		return bits
	}
	assert.InDelta(t, together(p, q), together(q, p), 1e-9)
}

// The conflict figure by hand (formula of Jensen, Chamberlain, Nordahl, Jensen 1990).
func TestConflictByHand(t *testing.T) {
	m := numbers([]float64{.5, .5, 0}, []float64{10, 10}, []float64{1, 1}, 100)
	m.probe(1, []float64{.9, .1}, []float64{.1, .9})
	m.probe(1, []float64{.9, .1}, []float64{.1, .9})
	m.probes[0].id, m.probes[1].id = "p", "q"
	m.probes[0].words, m.probes[1].words = []string{"yes", "no"}, []string{"yes", "no"}
	m.index = map[string]int{"p": 0, "q": 1}
	for answer, want := range map[string]float64{"yes": -.713696, "no": 1.473931} {
		w := Walk{env: &surroundings{m: m}, steps: []Step{{Act: Answered, Probe: "p", Answer: "yes"}, {Act: Answered, Probe: "q", Answer: answer}}}
		assert.InDelta(t, want, w.Conflict(), 1e-6)
	}
}

// Splitting by perfect even questions of cost one, all the way, is Huffman's code: textbook values; the
// second set's data is an information theory homework (ELEN E6717, 2005), problem 2; the value is ours.
func TestPerfectSplitsAreHuffman(t *testing.T) {
	for _, c := range []struct {
		p    []float64
		want float64
	}{
		{[]float64{.4, .3, .2, .1}, 1.9},
		{[]float64{1. / 21, 2. / 21, 3. / 21, 4. / 21, 5. / 21, 6. / 21}, 51. / 21},
		{[]float64{.25, .25, .25, .25}, 2},
	} {
		got := splits(c.p)
		assert.InDelta(t, c.want, got, 1e-9)
		assert.GreaterOrEqual(t, got, entropy(c.p)-1e-9)
		assert.Less(t, got, entropy(c.p)+1)
	}
}

// splits is the exact optimum of a model whose probes are every split, whose remedies cure for sure and
// cost nothing but must not be wrong: what is left is the number of questions.
func splits(p []float64) float64 {
	n := len(p)
	fix, works := make([]float64, n), make([]float64, n)
	for i := range fix {
		fix[i], works[i] = 1e3, 1
	}
	m := numbers(p, fix, works, 1e9)
	for mask := 1; mask < 1<<(n-1); mask++ {
		yes, no := make([]float64, n), make([]float64, n)
		for c := range n {
			if mask&(1<<c) != 0 {
				yes[c] = 1
			} else {
				no[c] = 1
			}
		}
		m.probe(1, yes, no)
	}
	return optimumOfSplits(m, m.start(), map[string]float64{}) - 1e3
}

// optimumOfSplits follows probes only until one cause is left; the state is which causes are left.
func optimumOfSplits(m *model, s state, memo map[string]float64) float64 {
	left := ""
	n := 0
	for c, w := range s.weight[:len(m.fix)] {
		if w > 1e-12 {
			left += string(rune('a' + c))
			n++
		}
	}
	if n <= 1 {
		return m.fix[0]
	}
	if v, ok := memo[left]; ok {
		return v
	}
	best := math.Inf(1)
	for p := range m.probes {
		chances := m.chances(s.weight, p)
		if slices.Max(chances) > 1-1e-12 {
			continue
		}
		v := m.cost(&s, p)
		for a, q := range chances {
			next := s.clone()
			next.answer[p] = open
			m.take(&next, p, a)
			v += q * optimumOfSplits(m, next, memo)
		}
		best = min(best, v)
	}
	memo[left] = best
	return best
}

// Typical visits: every probe answers with its likeliest answer under the cause, the feed first. The
// first remedy offered is the cause's own.
func TestTypicalVisits(t *testing.T) {
	right, all := 0, 0
	for _, c := range testBase.Complaints {
		for _, cause := range c.Causes {
			all++
			got := typical(t, c, cause)
			if got[0] == cause {
				right++
				continue
			}
			t.Logf("%s, %s: remedies %s", c.ID, cause, got)
			assert.Equal(t, cause, got[1])
		}
	}
	t.Logf("first remedy right in %d of %d", right, all)
	assert.Equal(t, all, right, "every cause is reached by its typical answers")
}

// typical plays a visit and returns the first two remedies.
func typical(t *testing.T, c *knowledge.Complaint, cause string) []string {
	w, err := Start(testBase, c.ID, Options{})
	require.NoError(t, err)
	grades := map[string]string{}
	for _, id := range c.Probes {
		if p := testBase.Probes[id]; p.Kind == "watch" {
			grades[id] = p.Answers[likeliest(knowledge.Row(p, c, cause))]
		}
	}
	w = step(t, w, Step{Act: Evidence, Grades: grades})
	var done []string
	for range 60 {
		switch o := w.Next(); {
		case o.Remedy != nil && (o.Remedy.ID == cause || len(done) == 1):
			return append(done, o.Remedy.ID, "")
		case o.Remedy != nil:
			done = append(done, o.Remedy.ID)
			w = step(t, w, Step{Act: Remedied, Cause: o.Remedy.ID})
		case o.Proof:
			w = step(t, w, Step{Act: ProofRun, Probe: o.Probe.ID, Answer: notWanted(o)})
		case o.Probe != nil:
			w = step(t, w, Step{Act: Answered, Probe: o.Probe.ID, Answer: o.Probe.Answers[likeliest(knowledge.Row(o.Probe, c, cause))]})
		default:
			return append(done, "handed on", "")
		}
	}
	return append(done, "no end", "")
}

// notWanted is an answer by which a proof fails.
func notWanted(o Offer) string {
	for _, a := range o.Probe.Answers {
		if a != o.Want {
			return a
		}
	}
	return ""
}

// Every trial that the knowledge names exists and takes its probe's answers, every hazard has its caution, and
// the grade words are those of the checks.
func TestKnowledgeAgreesWithTheOtherRooms(t *testing.T) {
	for id, p := range testBase.Probes {
		if p.Trial != "" {
			_, ok := diagnostics.NewTrial(p.Trial, p.Answers, nil, nil, testTime)
			assert.True(t, ok, "%s: trial %q", id, p.Trial)
		}
		for _, h := range p.Hazards {
			assert.NotEmpty(t, hazardTexts[h], h)
			assert.NotZero(t, hazardWeights[h], h)
		}
		for _, n := range p.Needs {
			_, ok := setupMinutes[n]
			assert.True(t, ok, n)
		}
	}
	for _, check := range diagnostics.Checks() {
		for _, a := range check.Aspects() {
			assert.Equal(t, knowledge.Aspects[check.ID()+"."+a.Name], a.Words, "%s.%s", check.ID(), a.Name)
		}
	}
}

// Any course of steps, sensible or not: the walk stays whole, and undo leads back to where it came from.
func TestAnyCourse(t *testing.T) {
	acts := []Act{Evidence, Answered, Skipped, CannotTell, NotSafe, BringBack, Remedied, PutBack, ProofRun, Finished}
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.SampledFrom(testBase.Complaints).Draw(t, "complaint")
		w, err := Start(testBase, c.ID, Options{NoFeed: rapid.Bool().Draw(t, "no feed"), NoMains: rapid.Bool().Draw(t, "no mains")})
		require.NoError(t, err)
		for range rapid.IntRange(0, 12).Draw(t, "steps") {
			w = whole(t, w, drawStep(t, w, rapid.SampledFrom(acts).Draw(t, "act")))
		}
		w.Next()
	})
}

func drawStep(t *rapid.T, w Walk, act Act) Step {
	s := Step{Act: act}
	probe := testBase.Probes[rapid.SampledFrom(w.Complaint.Probes).Draw(t, "probe")]
	if act == ProofRun {
		if pr := w.situate().proof; pr != nil {
			due, _ := pr.next()
			probe = testBase.Probes[due.Probe]
		}
	}
	answer := rapid.SampledFrom(probe.Answers).Draw(t, "answer")
	switch act {
	case Evidence:
		s.Grades = map[string]string{probe.ID: answer}
	case Remedied, PutBack:
		s.Cause = rapid.SampledFrom(w.Complaint.Causes).Draw(t, "cause")
	default:
		s.Probe, s.Answer = probe.ID, answer
	}
	return s
}

// whole takes a step and checks that nothing broke.
func whole(t *rapid.T, w Walk, s Step) Walk {
	next, err := w.Apply(s)
	require.NoError(t, err)
	total := 0.0
	for _, x := range next.Suspects() {
		require.GreaterOrEqual(t, x.Probability, 0.0)
		total += x.Probability
	}
	require.InDelta(t, 1, total, 1e-9)
	next.Path()
	if back, ok := next.Undo(); ok && s.Act != Evidence {
		require.Equal(t, w.Steps(), back.Steps())
	}
	return next
}
