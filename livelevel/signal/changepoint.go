package signal

import "math"

// Change is the place where a series most likely steps to another level.
type Change struct {
	After int     // how many values stand before the step
	U     float64 // Pettitt's statistic, signed: above zero the values rise at the step
	P     float64 // chance of a statistic so large where nothing changes
}

// Pettitt looks for one step in the level of a series by ranks, so that neither its distribution nor a few
// outliers matter (Pettitt 1979, Applied Statistics 28, 126-135). The chance is his approximation, good to
// 0.01 for P below one half; neighbours must be independent. work needs room for len(x) values.
func Pettitt(x, work []float64) Change {
	n := len(x)
	best := Change{P: 1}
	if n < 2 {
		return best
	}
	ranks := work[:n]
	for i, v := range x {
		ranks[i] = midRank(x, v)
	}
	sum := 0.0
	for k := 1; k < n; k++ {
		sum += ranks[k-1]
		if u := float64(k*(n+1)) - 2*sum; math.Abs(u) > math.Abs(best.U) {
			best.After, best.U = k, u
		}
	}
	m := float64(n)
	best.P = math.Min(1, 2*math.Exp(-6*best.U*best.U/(m*m*m+m*m)))
	return best
}

// midRank is the rank of v among x; equal values share the middle of theirs.
func midRank(x []float64, v float64) float64 {
	below, same := 0, 0
	for _, o := range x {
		switch {
		case o < v:
			below++
		case o == v:
			same++
		}
	}
	return float64(below) + float64(same+1)/2
}

// BinomialTail is the chance of k or more successes in n trials.
func BinomialTail(k, n int, p float64) float64 {
	switch {
	case k <= 0 || p >= 1:
		return 1
	case k > n || p <= 0:
		return 0
	}
	return BetaInc(p, float64(k), float64(n-k+1))
}
