package rig

import (
	"errors"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/drill"
)

// readLessons are the shipped lessons.
func readLessons(t testing.TB) []*drill.Lesson {
	t.Helper()
	out, err := drill.Lessons()
	require.NoError(t, err)
	require.NotEmpty(t, out)
	return out
}

func play(t testing.TB, l *drill.Lesson) (*Installation, feed, error) {
	t.Helper()
	o := Options{Seed: l.Seed, Dialect: l.Dialect}
	for _, f := range l.Faults {
		fault, err := ParseFault(f)
		require.NoError(t, err, l.ID)
		o.Faults = append(o.Faults, fault)
	}
	i, err := New(o)
	require.NoError(t, err, l.ID)
	refused := i.Connect()
	return i, listen(t, i, l.Listen), refused
}

// Every lesson's symptom is there in the bytes, by plain statistics, and its answers are the installation's.
func TestLessons(t *testing.T) {
	for _, l := range readLessons(t) {
		t.Run(l.ID, func(t *testing.T) {
			t.Parallel()
			i, f, refused := play(t, l)
			checkRefusal(t, l, refused)
			g := f.plain(i, l.Listen.Seconds())
			for name, r := range l.Bytes {
				v, known := g[name]
				require.True(t, known, "figure %s of %v", name, g)
				assert.True(t, v >= r[0] && v <= r[1], "%s is %g, not within %v", name, v, r)
			}
			for probe, want := range l.Answers {
				got, _, ok := i.Answer(probe, []string{want})
				assert.True(t, ok, "%s is %q, not %q", probe, got, want)
			}
		})
	}
}

func checkRefusal(t *testing.T, l *drill.Lesson, err error) {
	t.Helper()
	if l.Refused == "" {
		require.NoError(t, err)
		return
	}
	var r interface{ PortRefusal() string }
	require.True(t, errors.As(err, &r), "%v", err)
	assert.Equal(t, l.Refused, r.PortRefusal())
}

// A healthy installation shows none of the symptoms, so that a lesson's figures say something.
func TestHealthyShowsNoSymptom(t *testing.T) {
	// what a lesson on a hidden setting or label cannot show in the bytes, its answers show
	quiet := map[string]bool{"sensor-moved": true, "full-above-overflow": true, "display-only": true}
	healthy := map[time.Duration]map[string]float64{}
	for _, l := range readLessons(t) {
		if len(l.Causes) == 0 || quiet[l.ID] {
			continue
		}
		g, ok := healthy[l.Listen]
		if !ok {
			i := rigged(t)
			f := listen(t, i, l.Listen)
			g = f.plain(i, l.Listen.Seconds())
			healthy[l.Listen] = g
		}
		differs := false
		for name, r := range l.Bytes {
			v, known := g[name]
			differs = differs || !known || math.IsNaN(v) || v < r[0] || v > r[1]
		}
		assert.True(t, differs, "%s: a healthy installation has the same figures: %v", l.ID, l.Bytes)
	}
}

// There is a lesson for every cause, some with two, some with none.
func TestEveryCauseHasALesson(t *testing.T) {
	seen, two, none := map[string]bool{}, 0, 0
	for _, l := range readLessons(t) {
		for _, c := range l.Causes {
			seen[c] = true
		}
		if len(l.Causes) > 1 {
			two++
		} else if len(l.Causes) == 0 {
			none++
		}
	}
	for id := range catalogue {
		assert.True(t, seen[id], "no lesson on %s", id)
	}
	assert.GreaterOrEqual(t, two, 2)
	assert.GreaterOrEqual(t, none, 1)
}
