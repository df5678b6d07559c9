package diagnostics

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Mann-Kendall by hand: of ten values in falling order S is -45, its variance 125, z = 44/11.18 = 3.935; the
// two-sided chance is 8.3e-5 by a table of the normal distribution.
func TestKendall(t *testing.T) {
	falling := []float64{10, 9, 8, 7, 6, 5, 4, 3, 2, 1}
	assert.InEpsilon(t, 8.3e-5, kendall(falling), 0.01)
	assert.Equal(t, 1.0, kendall([]float64{1, 1, 1, 1, 1}))
}

// runsOf plays runs a quarter of a day apart, their flows about a mean in m3/s.
func runsOf(n int, flow func(i int) float64) (r runTrend) {
	r.least = 0.2
	for i := range n {
		at := float64(i) * 21600
		run := fillRun{from: at, to: at + 900, fit: slopeFit{mid: flow(i)}}
		r.add(&run, 900)
	}
	return r
}

// A sound pump under draws that change from run to run is not called weaker more often than once in a thousand
// installations; a loss of two fifths is, and its step is found.
func TestRunsThatGrowWeaker(t *testing.T) {
	rnd := rand.New(rand.NewPCG(21, 22))
	wrong := 0
	for range 1000 {
		r := runsOf(8+rnd.IntN(200), func(int) float64 { return 1e-3 * (1 - 0.4*rnd.Float64()*rnd.Float64()) })
		if r.weaker(r.change(0), 0) {
			wrong++
		}
	}
	assert.LessOrEqual(t, wrong, 1)

	r := runsOf(40, func(i int) float64 {
		f := 1e-3 * (1 + 0.05*rnd.NormFloat64())
		if i >= 25 {
			f *= 0.6
		}
		return f
	})
	c := r.change(0)
	assert.True(t, r.weaker(c, 0))
	assert.InDelta(t, 25*21600, c.at, 21600)
	assert.InDelta(t, 0.6, c.left, 0.05)
	assert.False(t, r.weaker(c, 4e-4), "so much may as well be drawn")
	assert.InDelta(t, 0.8, (func() float64 { d := r.change(1e-3); return d.left })(), 0.03, "a draw-off that is known is no loss")

	few := runsOf(7, func(i int) float64 { return 1e-3 / float64(i+1) })
	assert.False(t, few.change(0).enough)
	assert.True(t, math.IsNaN(few.change(0).left))
}
