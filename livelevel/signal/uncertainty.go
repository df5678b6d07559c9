package signal

import "math"

// Combine is the combined standard uncertainty of uncorrelated contributions, each already multiplied
// by its sensitivity: JCGM 100:2008, equation (10).
func Combine(u ...float64) float64 {
	sum := 0.0
	for _, v := range u {
		sum += v * v
	}
	return math.Sqrt(sum)
}

// EffectiveDegrees are the degrees of freedom of a combined uncertainty whose contributions have
// degrees of freedom of their own (the Welch-Satterthwaite formula, JCGM 100:2008, G.4.1); +Inf stands
// for a contribution that is known exactly.
func EffectiveDegrees(u, degrees []float64) float64 {
	c := Combine(u...)
	sum := 0.0
	for i, v := range u {
		sum += v * v * v * v / degrees[i]
	}
	return c * c * c * c / sum
}

// Rectangular is the standard uncertainty of a value known to lie within ± half: JCGM 100:2008, 4.3.7.
func Rectangular(half float64) float64 { return half / math.Sqrt(3) }

// Resolution is the standard uncertainty from a display step: JCGM 100:2008, F.2.2.1.
func Resolution(step float64) float64 { return step / math.Sqrt(12) }
