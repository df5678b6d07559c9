package livelevel

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A fill or a quick draw is followed with no more lag than two readings or 2 s, whichever is longer,
// at any rate of the feed; what the noise itself is worth comes on top.
func TestGaugeLag(t *testing.T) {
	for _, hz := range []float64{20, 10, 5, 2, 1, 0.5} {
		for _, rate := range []float64{0.0005, 0.002, 0.01, 0.03, 0.05, 0.1} {
			for _, noise := range []float64{0.001, 0.005} {
				late := latestDraw(hz, rate, noise)
				assert.LessOrEqual(t, late, max(2, 2/hz)*rate+3*noise, "%v Hz, %v m/s, noise %v m", hz, rate, noise)
			}
		}
	}
}

// latestDraw is how far, in metres, the gauge hangs behind at worst in a few draws of 0.8 m or 60 s.
func latestDraw(hz, rate, noise float64) (worst float64) {
	length := min(0.8/rate, 60)
	for seed := range uint64(5) {
		rng := rand.New(rand.NewPCG(4, seed))
		g := NewGauge(nil)
		for i := range int((60 + length + 30) * hz) {
			now := float64(i) / hz
			d := 0.5 + rate*clampTime(now, 60, 60+length)
			l := g.Add(at(now, Ullage, d+noise*rng.NormFloat64()))
			if now > 60 && now < 60+length {
				worst = max(worst, d-l.Ullage)
			}
		}
	}
	return worst
}
