package signal

import "math"

// Wilson is the score interval of a share of x in n at the two-sided Gaussian point z (Z95 for 95 %).
// With n = 0 nothing is known: 0 to 1.
func Wilson(x, n int, z float64) (low, high float64) {
	if n <= 0 {
		return 0, 1
	}
	f := float64(n)
	p := float64(x) / f
	z2 := z * z
	centre := p + z2/(2*f)
	half := z * math.Sqrt(p*(1-p)/f+z2/(4*f*f))
	scale := 1 + z2/f
	return max(0, (centre-half)/scale), min(1, (centre+half)/scale)
}

// BetaInc is the regularised incomplete beta function I_x(a, b).
func BetaInc(x, a, b float64) float64 {
	if x <= 0 {
		return 0
	}
	if x >= 1 {
		return 1
	}
	la, _ := math.Lgamma(a)
	lb, _ := math.Lgamma(b)
	lab, _ := math.Lgamma(a + b)
	front := math.Exp(lab - la - lb + a*math.Log(x) + b*math.Log1p(-x))
	if x < (a+1)/(a+b+2) {
		return front * betaFraction(x, a, b) / a
	}
	return 1 - front*betaFraction(1-x, b, a)/b
}

// betaFraction is the continued fraction of the incomplete beta function by Lentz's method
// (NIST Handbook of Mathematical Functions, 8.17.22).
func betaFraction(x, a, b float64) float64 {
	const tiny = 1e-300
	c, d := 1.0, 1-(a+b)*x/(a+1)
	d = 1 / nonzero(d, tiny)
	h := d
	for i := 1; i < 500; i++ {
		m := float64(i)
		num := m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m))
		d, c = 1/nonzero(1+num*d, tiny), nonzero(1+num/c, tiny)
		h *= d * c
		num = -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1))
		d, c = 1/nonzero(1+num*d, tiny), nonzero(1+num/c, tiny)
		h *= d * c
		if math.Abs(d*c-1) < 1e-15 {
			break
		}
	}
	return h
}

func nonzero(v, tiny float64) float64 {
	if math.Abs(v) < tiny {
		return tiny
	}
	return v
}

// betaQuantile inverts BetaInc by bisection: monotone, so it cannot go astray.
func betaQuantile(p, a, b float64) float64 {
	lo, hi := 0.0, 1.0
	for i := 0; i < 100 && hi-lo > 1e-15; i++ {
		mid := (lo + hi) / 2
		if BetaInc(mid, a, b) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// StudentQuantile is the value that Student's t with nu degrees of freedom stays below with
// probability p.
func StudentQuantile(p, nu float64) float64 {
	switch {
	case nu <= 0 || math.IsNaN(nu):
		return math.NaN()
	case p < 0.5:
		return -StudentQuantile(1-p, nu)
	case nu > 1e6:
		return GaussQuantile(p)
	}
	x := betaQuantile(2*(1-p), nu/2, 0.5)
	return math.Sqrt(nu * (1 - x) / x)
}
