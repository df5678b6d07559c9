package diagnostics

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// TestAPumpUnderAnOpenTapIsNotDryForLong: a tap stands wide open as the pump starts, and nothing comes up for half a minute;
// then it is shut a little. How fast the pump is cannot be told from that, but none it brings no longer.
func TestAPumpUnderAnOpenTapIsNotDryForLong(t *testing.T) {
	sheet, err := site.Parse("s.yaml", []byte("sheet: tankhand/site/1\ntank: {shape: box, length: 1 m, width: 0.95 m, height: 1.6 m}\n"+
		"sensor: {face_height: 1.75 m}\npump: {healthy_flow: 2.3 m3/h}\n"))
	require.NoError(t, err)
	m, g := NewMonitor(sheet, 0), livelevel.NewGauge(sheet)
	rng, at, u := rand.New(rand.NewPCG(2, 9)), time.Unix(1e9, 0), 1.0
	for i := range 520 {
		at = at.Add(time.Second)
		r := livelevel.Reading{Time: at, Kind: livelevel.Report}
		if i >= 120 {
			r.Set(livelevel.Pump, 1)
		} else {
			r.Set(livelevel.Pump, 0)
		}
		if i >= 150 {
			u -= 0.0003
		}
		r.Set(livelevel.Ullage, u+0.002*rng.NormFloat64())
		l := g.Add(r)
		m.Add(&l)
	}
	for _, f := range m.Findings(at) {
		for _, grade := range f.Grades {
			if f.Check == "fill-rate" && (grade.Word == "none" || grade.Word == "none-from-start") {
				assert.Less(t, grade.Held, time.Minute, "%s: a complaint is seen from a minute on; %s", grade.Word, f.Why)
			}
		}
	}
}
