package signal

import (
	"math"
	"slices"
)

// Populations describes samples split into a lower and an upper group.
type Populations struct {
	// Two is true when the groups are truly apart: each holds its share, and hardly anything lies
	// between them.
	Two          bool
	Lower, Upper float64 // medians
	LowerSigma   float64 // robust standard deviations
	UpperSigma   float64
	UpperShare   float64
	// Switches is how often neighbours in time lie in different groups: 1 is a step, many are two
	// echoes that take turns.
	Switches int
	// Cut separates the groups.
	Cut float64
}

// TwoPopulations looks for two groups in x, given in the order of time. Each must hold at least
// minShare, and their medians must be at least apart from each other. It is not taken in by a ramp
// (which fills the middle) nor by a few wild samples.
func TwoPopulations(x []float64, minShare, apart float64) Populations {
	none := Populations{Lower: math.NaN(), Upper: math.NaN(), LowerSigma: math.NaN(), UpperSigma: math.NaN(), Cut: math.NaN()}
	s := slices.Clone(x)
	slices.Sort(s)
	trim := int(minShare / 2 * float64(len(s)))
	s = s[trim : len(s)-trim]
	cut := bestCut(s)
	if cut == 0 {
		return none
	}
	p := describe(s, cut)
	for i, v := range x {
		if v > p.Cut {
			p.UpperShare++
		}
		if i > 0 && (v > p.Cut) != (x[i-1] > p.Cut) {
			p.Switches++
		}
	}
	p.UpperShare /= float64(len(x))
	p.Two = apartEnough(s, p, minShare, apart)
	return p
}

// bestCut is the index that splits an ascending slice with the greatest variance between the groups.
func bestCut(s []float64) int {
	var total float64
	for _, v := range s {
		total += v - s[0]
	}
	n, best, at, left := float64(len(s)), 0.0, 0, 0.0
	for i := 1; i < len(s); i++ {
		left += s[i-1] - s[0]
		if s[i] == s[i-1] {
			continue
		}
		k := float64(i)
		d := left/k - (total-left)/(n-k)
		if v := k * (n - k) * d * d; v > best {
			best, at = v, i
		}
	}
	return at
}

func describe(s []float64, cut int) Populations {
	var p Populations
	var mad float64
	p.Cut = (s[cut-1] + s[cut]) / 2
	p.Lower, mad = MAD(s[:cut])
	p.LowerSigma = MADFactor * mad
	p.Upper, mad = MAD(s[cut:])
	p.UpperSigma = MADFactor * mad
	return p
}

// apartEnough asks for shares, distance, tight groups, and an empty middle: of a ramp a sixth lies
// in the middle third between the medians of its halves, of two echoes next to nothing.
func apartEnough(s []float64, p Populations, minShare, apart float64) bool {
	gap := p.Upper - p.Lower
	if gap < apart || gap < 6*max(p.LowerSigma, p.UpperSigma) {
		return false
	}
	smaller := min(p.UpperShare, 1-p.UpperShare)
	if smaller < minShare {
		return false
	}
	from, _ := slices.BinarySearch(s, p.Lower+gap/3)
	to, _ := slices.BinarySearch(s, p.Upper-gap/3)
	return float64(to-from) <= 0.2*smaller*float64(len(s))
}
