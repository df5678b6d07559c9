package rig

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/sheet"
)

// lesson is what these tests need of a lesson file.
type lesson struct {
	id, refused, dialect string
	faults, causes       []string
	seed                 uint64
	listen               time.Duration
	bytes                map[string][]float64
	answers              map[string]string
}

func readLessons(t testing.TB) []lesson {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "lessons", "*.yaml"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	out := make([]lesson, 0, len(files))
	for _, f := range files {
		out = append(out, readLesson(t, f))
	}
	return out
}

func readLesson(t testing.TB, file string) lesson {
	t.Helper()
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	doc, err := sheet.Parse(file, data)
	require.NoError(t, err)
	m := doc.Map()
	m.Need("lesson", "id", "title", "difficulty", "complaint", "story", "faults", "seed", "dialect", "listen", "causes", "bytes", "path", "debrief")
	l := lesson{id: m.Text("id"), refused: m.Text("refused"), dialect: m.Text("dialect"), faults: m.Texts("faults"), causes: m.Texts("causes"),
		bytes: map[string][]float64{}, answers: map[string]string{}}
	l.seed = uint64(m.Int("seed", 0))
	l.listen, err = time.ParseDuration(m.Text("listen"))
	require.NoError(t, err, file)
	for _, k := range []string{"lesson", "title", "story", "complaint", "difficulty", "path", "debrief", "grades"} {
		m.Get(k)
	}
	figures := m.Map("bytes")
	for _, e := range figures.Entries() {
		l.bytes[e.Key] = figures.Floats(e.Key)
	}
	if m.Has("answers") {
		answers := m.Map("answers")
		for _, e := range answers.Entries() {
			l.answers[e.Key] = answers.Text(e.Key)
		}
	}
	m.Done()
	require.NoError(t, doc.Err())
	require.Equal(t, strings.TrimSuffix(filepath.Base(file), ".yaml"), l.id)
	return l
}

func (l *lesson) play(t testing.TB) (*Installation, feed, error) {
	t.Helper()
	o := Options{Seed: l.seed, Dialect: l.dialect}
	for _, f := range l.faults {
		fault, err := ParseFault(f)
		require.NoError(t, err, l.id)
		o.Faults = append(o.Faults, fault)
	}
	i, err := New(o)
	require.NoError(t, err, l.id)
	refused := i.Connect()
	return i, listen(t, i, l.listen), refused
}

// Every lesson's symptom is there in the bytes, by plain statistics, and its answers are the installation's.
func TestLessons(t *testing.T) {
	for _, l := range readLessons(t) {
		t.Run(l.id, func(t *testing.T) {
			t.Parallel()
			i, f, refused := l.play(t)
			l.checkRefusal(t, refused)
			g := f.plain(i, l.listen.Seconds())
			for name, r := range l.bytes {
				v, known := g[name]
				require.True(t, known, "figure %s of %v", name, g)
				require.Len(t, r, 2, name)
				assert.True(t, v >= r[0] && v <= r[1], "%s is %g, not within %v", name, v, r)
			}
			for probe, want := range l.answers {
				got, _, ok := i.Answer(probe, []string{want})
				assert.True(t, ok, "%s is %q, not %q", probe, got, want)
			}
		})
	}
}

func (l *lesson) checkRefusal(t *testing.T, err error) {
	t.Helper()
	if l.refused == "" {
		require.NoError(t, err)
		return
	}
	var r interface{ PortRefusal() string }
	require.True(t, errors.As(err, &r), "%v", err)
	assert.Equal(t, l.refused, r.PortRefusal())
}

// A healthy installation shows none of the symptoms, so that a lesson's figures say something.
func TestHealthyShowsNoSymptom(t *testing.T) {
	// what a lesson on a hidden setting or label cannot show in the bytes, its answers show
	quiet := map[string]bool{"sensor-moved": true, "full-above-overflow": true, "display-only": true}
	healthy := map[time.Duration]map[string]float64{}
	for _, l := range readLessons(t) {
		if len(l.causes) == 0 || quiet[l.id] {
			continue
		}
		g, ok := healthy[l.listen]
		if !ok {
			i := rigged(t)
			f := listen(t, i, l.listen)
			g = f.plain(i, l.listen.Seconds())
			healthy[l.listen] = g
		}
		differs := false
		for name, r := range l.bytes {
			v, known := g[name]
			differs = differs || !known || math.IsNaN(v) || v < r[0] || v > r[1]
		}
		assert.True(t, differs, "%s: a healthy installation has the same figures: %v", l.id, l.bytes)
	}
}

// There is a lesson for every cause, some with two, some with none.
func TestEveryCauseHasALesson(t *testing.T) {
	seen, two, none := map[string]bool{}, 0, 0
	for _, l := range readLessons(t) {
		for _, c := range l.causes {
			seen[c] = true
		}
		if len(l.causes) > 1 {
			two++
		} else if len(l.causes) == 0 {
			none++
		}
	}
	for id := range catalogue {
		assert.True(t, seen[id], "no lesson on %s", id)
	}
	assert.GreaterOrEqual(t, two, 2)
	assert.GreaterOrEqual(t, none, 1)
}
