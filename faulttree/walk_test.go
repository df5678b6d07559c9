package faulttree

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"example.org/tankhand/faulttree/knowledge"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func shipped(t testing.TB) *knowledge.Base {
	base, err := knowledge.Load("")
	require.NoError(t, err)
	return base
}

func begin(t testing.TB, complaint string) Walk {
	w, err := Start(shipped(t), complaint, Options{})
	require.NoError(t, err)
	return w
}

func step(t testing.TB, w Walk, s Step) Walk {
	next, err := w.Apply(s)
	require.NoError(t, err)
	return next
}

func TestWalkNamesTheOpenTrigger(t *testing.T) {
	w := begin(t, "no-echo")
	w = step(t, w, Step{Act: Evidence, Grades: map[string]string{"lost-echoes": "nearly-all", "lost-echoes-when": "any-time"}})
	for range 12 {
		o := w.Next()
		t.Log(o.Title, "|", o.Why)
		if o.Remedy != nil {
			break
		}
		require.NotNil(t, o.Probe)
		answer := o.Probe.Answers[likeliest(knowledge.Row(o.Probe, w.Complaint, "trigger-open"))]
		w = step(t, w, Step{Act: Answered, Probe: o.Probe.ID, Answer: answer})
	}
	o := w.Next()
	require.NotNil(t, o.Remedy)
	assert.Equal(t, "trigger-open", o.Remedy.ID)
	w = step(t, w, Step{Act: Remedied, Cause: "trigger-open"})
	o = w.Next()
	require.True(t, o.Proof)
	assert.Equal(t, "echo-continuity", o.Probe.ID)
	w = step(t, w, Step{Act: ProofRun, Cause: "trigger-open", Probe: "echo-continuity", Answer: "both sound"})
	o = w.Next()
	require.True(t, o.Proof)
	assert.Equal(t, "lost-echoes", o.Probe.ID)
	w = step(t, w, Step{Act: ProofRun, Cause: "trigger-open", Probe: "lost-echoes", Answer: "few"})
	o = w.Next()
	assert.True(t, o.Done && o.Proven)
	assert.Equal(t, "trigger-open", o.Cured)
	for _, l := range w.Path() {
		t.Logf("%c %s (%s)", l.Mark, l.Title, l.From)
	}
}

func likeliest(row []float64) int {
	best := 0
	for i, v := range row {
		if v > row[best] {
			best = i
		}
	}
	return best
}

func BenchmarkNext(b *testing.B) {
	for _, c := range shipped(b).Complaints {
		w := begin(b, c.ID)
		b.Run(c.ID, func(b *testing.B) {
			for b.Loop() {
				w.Next()
			}
		})
	}
}

var testTime = time.Date(2026, 5, 4, 7, 31, 0, 0, time.UTC)

// How one decision grows with the causes of a complaint; 200 is the most that it must manage in a tenth of a second.
func BenchmarkNextOfALargeModel(b *testing.B) {
	for _, causes := range []int{8, 20, 50, 100, 200} {
		b.Run(fmt.Sprintf("causes=%d", causes), func(b *testing.B) {
			m := randomModel(rand.New(rand.NewPCG(5, 6)), causes, 40, .85, .97)
			s := m.start()
			for b.Loop() {
				m.next(&s)
			}
		})
	}
}
