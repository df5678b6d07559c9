package plain

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/knowledge"
)

func TestAnswersAreJudgedBeforeAnythingIsOpened(t *testing.T) {
	base, err := knowledge.Load("")
	require.NoError(t, err)
	for name, tc := range map[string]struct {
		text string
		want []string
	}{
		"good":                 {"answers: {sensor-volts: 4.1 V, sensor-face: wet or dirty, board-test: skip}", nil},
		"as found and proof":   {"answers: {sensor-face: [wet or dirty, dry and clean]}", nil},
		"done, the feed tells": {"answers: {board-test: watch}", nil},
		"no feed for it":       {"answers: {sensor-volts: watch}", []string{"a.yaml:1:25", "the feed cannot show it"}},
		"a probe mistyped":     {"answers:\n  sensor-vlts: 4.1 V\n", []string{"a.yaml:2:", `did you mean sensor-volts`}},
		"a word mistyped":      {"answers:\n  sensor-face: green\n", []string{"a.yaml:2:16", "dry and clean, wet or dirty"}},
		"a wrong unit":         {"answers:\n  sensor-volts: 4.1 A\n", []string{"a.yaml:2:17", "unit of current"}},
		"in capitals":          {"answers:\n  sensor-face: Wet  or dirty\n", nil},
		"a unit tells nothing": {"answers:\n  contact-ohms: 0.3 ohm\n", []string{"a.yaml:2:17", "opens and closes, never opens", "or skip, cannot-tell"}},
		"a decimal comma":      {"answers:\n  sensor-volts: 4,1 V\n  capacitor-value: 9,5\n", nil},
		"thousands or tenths":  {"answers:\n  coil-ohms: 1,750 ohm\n", []string{"a.yaml:2:14", "decimal point"}},
		"twice":                {"answers:\n  sensor-volts: 4.1 V\n  sensor-volts: 4.9 V\n", []string{"a.yaml:3:"}},
		"all at once":          {"answers:\n  sensor-face: green\n  sensor-volts: x\nextra: 1\n", []string{":2:16", ":3:17", ":4:1"}},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := ParseAnswers("a.yaml", []byte(tc.text), base)
			if tc.want == nil {
				require.NoError(t, err)
				return
			}
			for _, w := range tc.want {
				assert.ErrorContains(t, err, w)
			}
		})
	}
}

func FuzzParseAnswers(f *testing.F) {
	base, err := knowledge.Load("")
	require.NoError(f, err)
	f.Add([]byte("answers: {sensor-volts: 4.1 V, sensor-face: [wet or dirty, dry and clean]}"))
	f.Add([]byte("answers:\n  sensor-vlts: {a: [1]}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		a, err := ParseAnswers("a.yaml", data, base)
		if err == nil {
			for id := range a.found {
				assert.NotNil(t, base.Probes[id])
			}
		}
	})
}
