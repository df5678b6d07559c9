package dip

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/testdata/reference"
)

// The straight line through two points; inputs invented.
func TestTwoPoint(t *testing.T) {
	for _, row := range reference.Table(t, "two_point_calibration.csv") {
		y1, y2, y := row.Number("y1"), row.Number("y2"), row.Number("y")
		c, err := TwoPoint(row.Number("r1"), y1, row.Number("r2"), y2)
		require.NoError(t, err)
		assert.InDelta(t, row.Number("slope"), c.Slope, 5e-11)
		assert.InDelta(t, row.Number("intercept"), c.Intercept, 5e-8)
		got, outside := c.ApplyWithin(row.Number("reading"), y1, y2)
		assert.InDelta(t, y, got, 5e-9)
		assert.Equal(t, y < min(y1, y2) || y > max(y1, y2), outside)
	}
	_, err := TwoPoint(1, 2, 1, 3)
	assert.ErrorContains(t, err, "farther from each other")
}

// A made-up gauge whose faults are known: the report must give them back.
func TestCompareFindsWhatWasPutIn(t *testing.T) {
	var p []Point
	for i := 0; i <= 4; i++ {
		tape := 0.2 + 0.3*float64(i)
		bow := map[int]float64{0: -0.002, 1: 0.001, 2: 0.002, 3: 0.001, 4: -0.002}[i]
		reads := 0.010 + 1.02*tape + bow
		p = append(p, Point{tape, reads - 0.003, false}, Point{tape, reads + 0.003, true})
	}
	p = append(p, Point{0.8, p[4].Gauge + 0.004, false})
	r, err := Compare(p)
	require.NoError(t, err)
	assert.InDelta(t, 0.02, r.Span, 0.001)
	assert.InDelta(t, 0.014, r.Offset, 0.001)
	assert.InDelta(t, 0.006, r.Hysteresis, 0.0021)
	assert.InDelta(t, 0.004, r.NonRepeatability, 1e-9)
	assert.InDelta(t, 0.002, math.Abs(r.NonLinearity), 0.001)
	assert.InDelta(t, 0.2, r.Low, 1e-12)
	assert.InDelta(t, 1.4, r.High, 1e-12)
	for _, q := range p {
		assert.InDelta(t, q.Tape, r.Proposed.Apply(q.Gauge), 0.01, "what is proposed mends it")
	}
}

func TestCompareSaysWhatItCannotTell(t *testing.T) {
	r, err := Compare([]Point{{Tape: 0.2, Gauge: 0.21}, {Tape: 1.2, Gauge: 1.21}})
	require.NoError(t, err)
	assert.InDelta(t, 0.01, r.Mean, 1e-12)
	assert.True(t, math.IsNaN(r.Hysteresis))
	assert.True(t, math.IsNaN(r.NonRepeatability))
	assert.True(t, math.IsNaN(r.NonLinearity))

	for name, p := range map[string][]Point{
		"none": nil, "one": {{Tape: 1, Gauge: 1}}, "one level": {{Tape: 1, Gauge: 1}, {Tape: 1, Gauge: 1.1}},
		"no number": {{Tape: math.NaN(), Gauge: 1}, {Tape: 1, Gauge: 1}},
		"stuck":     {{Tape: 0.1, Gauge: 1}, {Tape: 1, Gauge: 1}},
	} {
		_, err := Compare(p)
		assert.Error(t, err, name)
	}
}
