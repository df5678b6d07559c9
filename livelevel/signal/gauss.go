package signal

import "math"

// Z95 is the two-sided 95 % point of the standard Gaussian distribution.
const Z95 = 1.959963984540054

// GaussTail is the probability that a standard Gaussian value exceeds z.
func GaussTail(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }

// GaussQuantile is the value that a standard Gaussian stays below with probability p.
func GaussQuantile(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }

// Switching says how often noise alone switches something.
type Switching struct {
	Single  float64 // probability that one sample lies beyond the threshold
	Run     float64 // that n in a row do
	Samples float64 // expected samples to the first run of n
}

// FalseSwitching is for white Gaussian noise of standard deviation sigma, a threshold at a distance
// from the true level, and n confirming samples in a row; the expected wait is that of a success run
// (An Introduction to Probability Theory and Its Applications, vol. 1). Waves are correlated
// noise: with them it is worse than this.
func FalseSwitching(distance, sigma float64, n int) Switching {
	p := GaussTail(distance / sigma)
	if sigma == 0 && distance > 0 {
		p = 0
	}
	run := math.Pow(p, float64(n))
	return Switching{Single: p, Run: run, Samples: -math.Expm1(float64(n)*math.Log(p)) / ((1 - p) * run)}
}

// RiceCrossings is how often a second a Gaussian signal crosses zero, both ways, when its standard
// deviation is sigma and that of its rate of change is rate (the square roots of the spectral
// moments m0 and m2): Rice's formula.
func RiceCrossings(sigma, rate float64) float64 { return rate / sigma / math.Pi }

// RiceUpcrossings is how often a second such a signal crosses a level upward, counted from its mean.
func RiceUpcrossings(sigma, rate, level float64) float64 {
	z := level / sigma
	return RiceCrossings(sigma, rate) / 2 * math.Exp(-z*z/2)
}
