package signal

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// nile is the yearly flow of the Nile at Aswan in 1e8 m3, 1871 to 1970 (a public series; typed in from memory). It
// is known to step down after 1898, the 28th year (Cobb 1978, Biometrika 65, 243-251).
var nile = []float64{1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958, 1140,
	1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969, 831, 726, 456, 824,
	702, 1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796, 1040, 759, 781, 865, 845, 944, 984, 897, 822, 1010, 771,
	676, 649, 846, 812, 742, 801, 1040, 860, 874, 848, 890, 744, 749, 838, 1050, 918, 986, 797, 923, 975, 815, 1020, 906, 901, 1170,
	912, 746, 919, 718, 714, 740}

func TestPettittFindsTheStepOfTheNile(t *testing.T) {
	c := Pettitt(nile, make([]float64, len(nile)))
	assert.Equal(t, 28, c.After, "1898 is the last year before")
	assert.Negative(t, c.U)
	assert.Less(t, c.P, 1e-6)
}

// pairs is the statistic as its author defines it: the sum of signs over all pairs across the step.
func pairs(x []float64, k int) (u float64) {
	for _, a := range x[:k] {
		for _, b := range x[k:] {
			switch {
			case b > a:
				u++
			case b < a:
				u--
			}
		}
	}
	return u
}

func TestPettittIsTheSumOfSigns(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for n := 2; n < 40; n++ {
		x := make([]float64, n)
		for i := range x {
			x[i] = float64(rng.IntN(12)) // with ties
		}
		c, most := Pettitt(x, make([]float64, n)), 0.0
		for k := 1; k < n; k++ {
			most = math.Max(most, math.Abs(pairs(x, k)))
		}
		assert.Equal(t, most, math.Abs(c.U))
		if c.After > 0 {
			assert.Equal(t, pairs(x, c.After), c.U)
		}
	}
}

// Where nothing changes the chance that is printed is not undershot, whatever the distribution.
func TestPettittRaisesNoMoreAlarmsThanItSays(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for _, n := range []int{10, 30, 100} {
		work, x := make([]float64, n), make([]float64, n)
		alarms, trials := 0, 4000
		for range trials {
			for i := range x {
				x[i] = math.Exp(rng.NormFloat64())
			}
			if Pettitt(x, work).P < 0.05 {
				alarms++
			}
		}
		assert.Less(t, float64(alarms)/float64(trials), 0.055, "of %d values", n)
	}
	assert.Equal(t, Change{P: 1}, Pettitt([]float64{1}, make([]float64, 1)))
	assert.Equal(t, 1.0, Pettitt([]float64{2, 2, 2}, make([]float64, 3)).P, "all the same")
}

// Tails by hand: of 10 throws of a coin 8 or more are heads in 56 of 1024 cases.
func TestBinomialTail(t *testing.T) {
	assert.InDelta(t, 56.0/1024, BinomialTail(8, 10, 0.5), 1e-12)
	assert.InDelta(t, 1-math.Pow(0.9, 20), BinomialTail(1, 20, 0.1), 1e-12)
	assert.Equal(t, 1.0, BinomialTail(0, 5, 0.2))
	assert.Equal(t, 0.0, BinomialTail(6, 5, 0.2))
	assert.Equal(t, 0.0, BinomialTail(1, 5, 0))
}
