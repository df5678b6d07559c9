package livelevel

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/testdata/reference"
)

// The worked example of a level under a sensor at 1.5 m; inputs invented, JCGM 100 equation (10).
func TestBudgetAgainstTheWorkedExample(t *testing.T) {
	mm := reference.Column(t, "uncertainty_level_example.csv", "u_mm")
	require.Len(t, mm, 5)
	a := airAt(20, 2/root3, 50, 50/root3)
	assert.InDelta(t, mm[0], 1500*a.relTemp, 1e-3)
	assert.InDelta(t, mm[1], 1500*a.relHum, 0.06, "the example rounds the effect to 0.18 %")
	g := &Gauge{noise: noise{sigma: 1e-5}}
	assert.InDelta(t, mm[3], 1e3*g.rounding(0.010), 1e-3)
	assert.InDelta(t, mm[4], 1e3*uncertainty(site.Fact{}, 0.005), 1e-3)
	var terms [partCount]float64
	copy(terms[:], mm)
	assert.InDelta(t, 5.3027, g.combine(terms), 1e-3)
}

// JCGM 100:2008, H.1, end-gauge calibration: six contributions make a combined uncertainty of 32 nm.
func TestBudgetAgainstTheEndGauge(t *testing.T) {
	var terms [partCount]float64
	copy(terms[:], reference.Column(t, "gum_h1.csv", "u_nm"))
	combined := (&Gauge{}).combine(terms)
	assert.InDelta(t, 32, combined, 0.5)
	assert.InDelta(t, 1002, combined*combined, 0.5)
}

func TestBudgetWords(t *testing.T) {
	g := NewGauge(fullSheet(t))
	assert.Equal(t, "no usable reading yet", g.Budget().Largest)
	settle(g, Ullage, 1.5)
	b := g.Budget()
	assert.Len(t, b.Terms, int(partCount))
	assert.Contains(t, b.Largest, "mostly the")
	assert.InDelta(t, g.Add(at(3, Ullage, 1.5)).U, b.U, 1e-4)

	s := fullSheet(t)
	s.Sensor.AirTemperature = site.Fact{}
	g = NewGauge(s)
	settle(g, Ullage, 1.5)
	assert.Contains(t, g.Budget().Largest, "air temperature, which is not known")
}

func TestDigits(t *testing.T) {
	cases := map[string]struct {
		values []float64
		want   float64
	}{
		"centimetres at first":  {[]float64{1.23}, 0.01},
		"millimetres at first":  {[]float64{1.23, 1.234}, 0.001},
		"half centimetres":      {steps(1.0, 0.005, 30), 0.005},
		"microseconds of echo":  {steps(1.0, 0.000172, 30), 0.000172},
		"inches and their ten":  {steps(0.0254, 0.00254, 30), 0.00254},
		"nothing that is known": {[]float64{math.Pi / 3}, 0},
	}
	for name, k := range cases {
		var d digits
		for _, v := range k.values {
			d.add(v)
		}
		assert.InDelta(t, k.want, d.resolution(), 1e-9, name)
	}
}

func steps(from, by float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = from + by*float64(i)
	}
	return out
}
