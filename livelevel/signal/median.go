// Package signal holds robust statistics on samples: medians and spreads that a lost echo or a spike
// does not wreck, slopes, intervals, two populations and change points. All functions are pure, take
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

// QuantileSorted is the p-quantile of an ascending slice, linear between the order statistics
// (p = 0 is the least, p = 1 the greatest, p = 0.5 the median).
func QuantileSorted(x []float64, p float64) float64 {
	if len(x) == 0 || math.IsNaN(p) {
		return math.NaN()
	}
	at := min(max(p, 0), 1) * float64(len(x)-1)
	i := int(at)
	if i+1 >= len(x) {
		return x[len(x)-1]
	}
	return x[i] + (at-float64(i))*(x[i+1]-x[i])
}

// Quantile is QuantileSorted of a copy of x.
func Quantile(x []float64, p float64) float64 {
	c := slices.Clone(x)
	slices.Sort(c)
	return QuantileSorted(c, p)
}

// MAD returns the median of x and the median absolute deviation from it.
func MAD(x []float64) (median, mad float64) { return MADInPlace(slices.Clone(x)) }

// MADInPlace is MAD without an allocation; it destroys x.
func MADInPlace(x []float64) (median, mad float64) {
	median = MedianInPlace(x)
	for i, v := range x {
		x[i] = math.Abs(v - median)
	}
	return median, MedianInPlace(x)
}

// Sigma is the robust standard deviation: MADFactor times the MAD.
func Sigma(x []float64) float64 {
	_, mad := MAD(x)
	return MADFactor * mad
}

// HalfSpread is half the 16 % to 84 % range of x: a standard deviation for Gaussian noise that, other
// than the MAD, does not fall to zero when more than half of the samples share one displayed digit.
func HalfSpread(x []float64) float64 {
	c := slices.Clone(x)
	slices.Sort(c)
	return (QuantileSorted(c, 0.841344746) - QuantileSorted(c, 0.158655254)) / 2
}

// Hampel marks the outliers of x by the Hampel identifier: farther than k robust standard deviations
// (usually 3) from the median. With a robust standard deviation of zero all that differs is marked.
func Hampel(x []float64, k float64) []bool {
	median, mad := MAD(x)
	out := make([]bool, len(x))
	for i, v := range x {
		out[i] = math.Abs(v-median) > k*MADFactor*mad
	}
	return out
}
