package rig

import (
	"math"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/sheet"
)

// probe is what these tests need of the shipped knowledge: the words, and how often each comes with a cause.
type probe struct {
	kind    string
	words   []string
	rows    map[string][]float64
	measure bool
}

func readProbes(t testing.TB) map[string]probe {
	t.Helper()
	const file = "../../faulttree/knowledge/shipped/probes.yaml"
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	doc, err := sheet.Parse(file, data)
	require.NoError(t, err)
	m := doc.Map()
	out := map[string]probe{}
	for _, e := range m.Entries() {
		p := e.Value.Map()
		q := probe{kind: p.Text("kind"), words: p.Texts("answers"), rows: map[string][]float64{}, measure: p.Has("bands")}
		if rows := p.Map("rows"); p.Has("rows") {
			for _, r := range rows.Entries() {
				q.rows[r.Key] = rows.Floats(r.Key)
			}
		}
		out[e.Key] = q
	}
	return out
}

// Every manual probe gets one of its words, whatever is wrong; a probe with limits gets a reading too, others none.
func TestEveryManualProbeIsAnswered(t *testing.T) {
	probes := readProbes(t)
	for _, fault := range []string{"healthy", "trigger-open", "brownout", "no-supply", "hung-on", "marks-lost", "source-empty", "charge-lead", "contact-welded", "reset-loop"} {
		t.Run(fault, func(t *testing.T) {
			t.Parallel()
			i := rigged(t, fault)
			i.Advance(time.Minute)
			for id, p := range probes {
				word, value, ok := i.Answer(id, p.words)
				assert.Equal(t, p.kind != "watch", ok, "%s: %q", id, word)
				if ok {
					assert.Contains(t, p.words, word, id)
					assert.Equal(t, p.measure, !math.IsNaN(value), "%s: %g", id, value)
				}
			}
		})
	}
	i := rigged(t)
	_, _, ok := i.Answer("no-such-probe", []string{"yes"})
	assert.False(t, ok)
	_, _, ok = i.Answer("two-sensors", []string{"other words"})
	assert.False(t, ok)
}

// Asking changes nothing: the bytes that follow are those that would have followed.
func TestAskingLeavesNoTrace(t *testing.T) {
	probes := readProbes(t)
	asked, left := rigged(t, "waves"), rigged(t, "waves")
	asked.Advance(time.Minute)
	left.Advance(time.Minute)
	for id, p := range probes {
		asked.Answer(id, p.words)
	}
	assert.Equal(t, left.Advance(time.Minute), asked.Advance(time.Minute))
}

// The knowledge is engineering judgement and the rig is physics: for nearly every cause and probe the rig's answer is one
// that the knowledge expects at least once in five visits.
func TestAnswersAgreeWithTheKnowledge(t *testing.T) {
	probes := readProbes(t)
	pairs, odd := 0, 0
	for _, l := range Faults()[1:] {
		i := rigged(t, l.ID)
		_ = i.Connect()
		i.Advance(90 * time.Second)
		for id, p := range probes {
			row := p.rows[l.ID]
			if row == nil || p.kind == "watch" || p.kind == "prompted" {
				continue
			}
			word, _, ok := i.Answer(id, p.words)
			require.True(t, ok, "%s under %s", id, l.ID)
			pairs++
			for k, w := range p.words {
				if w == word && row[k] < 0.2 {
					odd++
					t.Logf("%s under %s: %s, which the knowledge gives %.2f", id, l.ID, word, row[k])
				}
			}
		}
	}
	assert.Greater(t, pairs, 250)
	assert.Less(t, float64(odd), 0.03*float64(pairs))
}

// A reading of the healthy installation is what the circuit's arithmetic says.
func TestReadingsOfTheHealthyCircuit(t *testing.T) {
	probes := readProbes(t)
	i := rigged(t)
	i.Advance(time.Minute)
	for id, want := range map[string]float64{
		"sensor-volts":     supplyVolts - 0.08*(boardAmps+0.0685) - 0.468*(boardAmps+0.0685), // the relay is in
		"echo-height":      (supplyVolts - 0.548*(boardAmps+0.0685)) * 2 / 3,
		"base-current":     2.6 / 390,
		"coil-ohms":        70,
		"motor-current":    2.8,
		"capacitor-value":  12e-6,
		"cable-drop":       0.468 * (boardAmps + 0.0685),
		"logic-volts":      3.3,
		"supply-end-volts": 5.0,
	} {
		_, v, ok := i.Answer(id, probes[id].words)
		require.True(t, ok, id)
		assert.InEpsilon(t, want, v, 0.015, id)
	}
}
