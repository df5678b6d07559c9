package site

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/testdata/reference"
)

func byName(t *testing.T, s *Sheet) map[string]Derived {
	t.Helper()
	out := map[string]Derived{}
	for _, d := range Facts(s) {
		require.NotContains(t, out, d.Name)
		out[d.Name] = d
	}
	return out
}

// Worked by hand for the invented installation: A = π/4 1.1² = 0.95033 m², the face at 1.75 m; 40 % of
// 1.35 m above the empty mark is an ullage of 1.16 m, 95 % one of 0.4175 m.
func TestDerivedFacts(t *testing.T) {
	d := byName(t, mustParse(t, quarryLane))
	area := math.Pi / 4 * 1.1 * 1.1
	for name, want := range map[string]float64{
		"capacity": area * 1.6, "volume at the overflow": area * 1.55, "level at the full mark": 1.40, "level at the empty mark": 0.05,
		"volume at the full mark": area * 1.40, "volume at the empty mark": area * 0.05, "pump starts at": 0.59, "pump stops at": 1.3325,
		"drawdown": area * 0.7425, "time to fill": area * 0.7425 * 3600 / 2.3, "shortest cycle": 4 * area * 0.7425 * 3600 / 2.3,
		"most starts": 2.3 / 3600 / (4 * area * 0.7425), "beam radius at empty": 1.70 * math.Tan(15*degree),
	} {
		assert.InEpsilon(t, want, d[name].Value.V, 1e-9, name)
		assert.Empty(t, d[name].Missing, name)
	}
	assert.Equal(t, "1.521 m3", d["capacity"].Text(quantity.Metric))
	assert.Equal(t, "401.7 gal", d["capacity"].Text(quantity.US))
	// Sound at 24 degC and 90 %: between the rows for 20 and 25 degC of sound_speed_humid.csv.
	assert.InEpsilon(t, 2*1.7/(344.4883+0.8*(347.8131-344.4883)), d["echo time at empty"].Value.V, 1e-4)
	assert.NotContains(t, d["beam radius at empty"].Note, "assumed")
}

// MIL-HDBK-1005/9A eqs. (1) and (2), EI 11C201 (1997); the rows in
// which half the flow is drawn have the shortest cycle.
func TestShortestCycleAgreesWithTheReference(t *testing.T) {
	checked := 0
	for _, row := range reference.Table(t, "pump_cycle.csv") {
		litres, flow := row.Number("V_litre"), row.Number("Q_pump_l_min")
		if row.Number("q_draw_l_min") != flow/2 {
			continue
		}
		checked++
		s := mustParse(t, fmt.Sprintf("sheet: tankhand/site/1\ntank: {shape: box, length: 1 m, width: 1 m, height: 5 m}\nsensor: {face_height: 5 m}\n"+
			"marks: {full: 1 m, empty: 4 m, low_set: 3 m, full_set: %g m}\npump: {rated_flow: %g l/min}\n", 3-litres/1000, flow))
		d := byName(t, s)
		assert.InDelta(t, row.Number("cycle_s"), d["shortest cycle"].Value.V, 1e-3)
		assert.InDelta(t, row.Number("starts_per_h"), d["most starts"].Value.V*3600, 1e-4)
	}
	assert.GreaterOrEqual(t, checked, 3)
}

func TestDerivedFactsSayWhatIsMissing(t *testing.T) {
	d := byName(t, mustParse(t, minimal("")))
	assert.Equal(t, "unknown: needs marks.full", d["level at the full mark"].Text(quantity.Metric))
	assert.Equal(t, []string{"marks.low_set", "marks.full", "marks.empty", needFlow}, d["shortest cycle"].Missing)
	assert.Contains(t, d["speed of sound"].Note, "assumed: sensor.air_temperature, sensor.air_humidity")
	assert.Equal(t, "1 m3", d["capacity"].Text(quantity.Metric))
	d = byName(t, mustParse(t, strings.Replace(quarryLane, "low_set: 40 %", "low_set: 96 %", 1)))
	assert.Equal(t, "unknown: needs a start below the stop", d["drawdown"].Text(quantity.Metric))
	for _, s := range []*Sheet{Empty(), {}} {
		for _, f := range Facts(s) {
			assert.NotEmpty(t, f.Missing, f.Name)
		}
	}
}

func TestMarksInTheTank(t *testing.T) {
	s := mustParse(t, quarryLane)
	u, ok := s.SwitchAt(s.Marks.LowSet)
	assert.True(t, ok)
	assert.InDelta(t, 1.16, u, 1e-12)
	p, ok := s.PercentAt(u)
	assert.True(t, ok)
	assert.InDelta(t, 40, p, 1e-9)
	h, ok := s.HeightAt(1.16)
	assert.True(t, ok)
	assert.InDelta(t, 0.59, h, 1e-12)
	s = mustParse(t, minimal("marks: {low_set: 1.1 m, full: 0.5 m, empty: 0.5 m}\n"))
	u, ok = s.SwitchAt(s.Marks.LowSet)
	assert.True(t, ok)
	assert.InDelta(t, 1.1, u, 1e-12)
	_, ok = s.PercentAt(1)
	assert.False(t, ok, "marks that coincide give no percentage")
	_, ok = s.SwitchAt(s.Marks.FullSet)
	assert.True(t, ok)
	_, ok = Empty().VolumeAt(1)
	assert.False(t, ok)
}
