// Package signal holds statistics on samples: medians and spreads that a lost echo or a spike does not
// wreck, moments and correlation, intervals of shares, and change points. All functions are pure, take
// samples as []float64 in any unit, and return NaN where there is nothing to say.
package signal

import (
	"math"
	"slices"
)

// MADFactor turns a median absolute deviation into a standard deviation for Gaussian noise:
// 1/Phi^-1(3/4).
const MADFactor = 1.482602218505602

// Median returns the middle value of x, which it leaves as it is; NaN when x is empty.
func Median(x []float64) float64 { return MedianInPlace(slices.Clone(x)) }

// MedianInPlace is Median without an allocation; it reorders x.
func MedianInPlace(x []float64) float64 {
	n := len(x)
	if n == 0 {
		return math.NaN()
	}
	slices.Sort(x)
	return MedianSorted(x)
}

// MedianSorted is the median of an ascending slice.
func MedianSorted(x []float64) float64 {
	n := len(x)
	switch {
	case n == 0:
		return math.NaN()
	case n%2 == 1:
		return x[n/2]
	}
	return x[n/2-1] + (x[n/2]-x[n/2-1])/2
}

// MADInPlace returns the median of x and the median absolute deviation from it. It destroys x.
func MADInPlace(x []float64) (median, mad float64) {
	median = MedianInPlace(x)
	for i, v := range x {
		x[i] = math.Abs(v - median)
	}
	return median, MedianInPlace(x)
}
