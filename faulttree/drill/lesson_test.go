package drill_test

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/drill"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/rig"
)

func rules(t testing.TB) drill.Rules {
	t.Helper()
	base, err := knowledge.Load("")
	require.NoError(t, err)
	r := drill.Rules{Base: base, Fault: func(s string) error { _, err := rig.ParseFault(s); return err }}
	for _, d := range rig.Dialects() {
		r.Dialects = append(r.Dialects, d.ID)
	}
	return r
}

func TestShippedLessonsAreSound(t *testing.T) { require.NoError(t, drill.Lint(rules(t))) }

// A trainee cannot learn to leave a sound installation alone without sound installations, at every
// difficulty but the second least of all at the third.
func TestEveryDifficultyIsThere(t *testing.T) {
	all, err := drill.Lessons()
	require.NoError(t, err)
	total, healthy, two := map[int]int{}, map[int]int{}, 0
	for _, l := range all {
		total[l.Difficulty]++
		if l.Healthy() {
			healthy[l.Difficulty]++
		}
		if len(l.Causes) > 1 {
			two++
			assert.Equal(t, drill.Hardest, l.Difficulty, l.ID)
		}
	}
	for d := 1; d <= drill.Hardest; d++ {
		assert.GreaterOrEqual(t, total[d], 10, "difficulty %d", d)
		assert.GreaterOrEqual(t, healthy[d], 1, "difficulty %d", d)
	}
	assert.GreaterOrEqual(t, healthy[drill.Hardest], 3)
	assert.GreaterOrEqual(t, two, 2)
}

const sound = `lesson: tankhand/lesson/1
id: a
title: "Face wet"
difficulty: 1
complaint: no-echo
story: "Nothing in the morning."
faults: ["face-wet"]
seed: 1
dialect: workshop-board
listen: 4m
causes: [face-wet]
bytes: {lost: [0.1, 1]}
answers: {sensor-face: "wet or dirty"}
path: [sensor-face, face-wet]
debrief: "Wipe the face."
`

func TestMistakesAreToldWithTheirPlaces(t *testing.T) {
	for name, tc := range map[string]struct{ from, to, want string }{
		"sound":                   {"", "", ""},
		"an unknown key":          {"seed: 1", "seed: 1\nsead: 2", "a.yaml:9:1"},
		"a difficulty of four":    {"difficulty: 1", "difficulty: 4", "a.yaml:4:13"},
		"another id":              {"id: a", "id: b", "a.yaml:2:5"},
		"another schema":          {"lesson/1", "lesson/9", "a.yaml:1:9"},
		"no such complaint":       {"no-echo", "no-ecco", "a.yaml:5:12"},
		"no such cause":           {"causes: [face-wet]", "causes: [face-wett]", "did you mean face-wet?"},
		"no such fault":           {`faults: ["face-wet"]`, `faults: ["face-wett"]`, "a.yaml:7:10"},
		"a fault without a cause": {"causes: [face-wet]", "causes: []", "a.yaml:11:9"},
		"no such dialect":         {"workshop-board", "workshop", "a.yaml:9:10"},
		"no such answer":          {`"wet or dirty"`, `"damp"`, "a.yaml:13:24"},
		"no such probe":           {"answers: {sensor-face", "answers: {sensor-fase", "did you mean sensor-face?"},
		"a range the wrong way":   {"[0.1, 1]", "[1, 0.1]", "a.yaml:12:15"},
		"a path without the cure": {"path: [sensor-face, face-wet]", "path: [sensor-face]", "a.yaml:14:7"},
		"a probe after the cure":  {"path: [sensor-face, face-wet]", "path: [face-wet, sensor-face]", "a.yaml:14:18"},
		"no listening":            {"listen: 4m", "listen: 0s", "a.yaml:10:9"},
		"an endless listening":    {"listen: 4m", "listen: 400h", "a.yaml:10:9"},
		"no path":                 {"path: [sensor-face, face-wet]\n", "", `"path" is missing`},
	} {
		t.Run(name, func(t *testing.T) {
			text := replaced(t, sound, tc.from, tc.to)
			err := drill.LintFiles(fstest.MapFS{"a.yaml": {Data: []byte(text)}}, "", rules(t))
			if tc.want == "" {
				require.NoError(t, err)
				return
			}
			require.ErrorContains(t, err, tc.want)
		})
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(sound))
	f.Add([]byte("lesson: tankhand/lesson/1\nbytes: {a: [1]}\nfaults: {}\n"))
	r := rules(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := drill.Parse("a.yaml", data)
		if err == nil {
			assert.Positive(t, l.Listen)
		}
		_ = drill.LintFiles(fstest.MapFS{"a.yaml": {Data: data}}, "", r)
	})
}
