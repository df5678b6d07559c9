package signal

import (
	"math"
	"slices"
)

// Line is a straight line through samples. Low and High bound the slope at the confidence asked for;
// they are NaN where there are too few samples to say.
type Line struct {
	Slope, Intercept float64
	Low, High        float64
}

// At is the line's value at x.
func (l Line) At(x float64) float64 { return l.Intercept + l.Slope*x }

// U is the standard uncertainty of the slope, from its 95 % interval.
func (l Line) U() float64 { return (l.High - l.Low) / (2 * Z95) }

// TheilSen fits the line whose slope is the median of the slopes of all pairs: up to 29 % of wild
// samples do not move it. The 95 % interval is that of Sen (Journal of the American Statistical
// Association 63:1379, 1968), which takes the residuals as independent. work may be nil; with room for
// n(n-1)/2 values nothing is allocated. Pairs with the same x are left out.
func TheilSen(x, y, work []float64) Line {
	n := min(len(x), len(y))
	s := work[:0]
	for i := 0; i < n; i++ {
		for j := i + 1; j < n; j++ {
			if x[i] != x[j] {
				s = append(s, (y[j]-y[i])/(x[j]-x[i]))
			}
		}
	}
	if len(s) == 0 {
		nan := math.NaN()
		return Line{nan, nan, nan, nan}
	}
	slices.Sort(s)
	l := Line{Slope: MedianSorted(s)}
	l.Low, l.High = senInterval(s, n)
	work = append(s[:0], y[:n]...)
	my := MedianInPlace(work)
	work = append(work[:0], x[:n]...)
	l.Intercept = my - l.Slope*MedianInPlace(work)
	return l
}

// senInterval picks the order statistics of the sorted slopes that bound the true one with 95 %.
func senInterval(sorted []float64, n int) (low, high float64) {
	f := float64(n)
	c := Z95 * math.Sqrt(f*(f-1)*(2*f+5)/18)
	pairs := float64(len(sorted))
	lo := int(math.Round((pairs - c) / 2))
	hi := int(math.Round((pairs+c)/2)) - 1
	if n < 4 || lo < 1 || hi >= len(sorted) {
		return math.NaN(), math.NaN()
	}
	return sorted[lo-1], sorted[hi]
}

// Fit is an ordinary least-squares line with what is known of its quality.
type Fit struct {
	Line
	InterceptSD, SlopeSD, ResidualSD, R2 float64
}

// LeastSquares fits y on x by ordinary least squares; wild samples do move it.
func LeastSquares(x, y []float64) Fit {
	n := min(len(x), len(y))
	var mx, my Moments
	for i := 0; i < n; i++ {
		mx.Add(x[i])
		my.Add(y[i])
	}
	var sxy, sse float64
	for i := 0; i < n; i++ {
		sxy += (x[i] - mx.Mean()) * (y[i] - my.Mean())
	}
	var f Fit
	f.Slope = sxy / mx.m2
	f.Intercept = my.Mean() - f.Slope*mx.Mean()
	for i := 0; i < n; i++ {
		r := y[i] - f.At(x[i])
		sse += r * r
	}
	f.R2 = 1 - sse/my.m2
	f.ResidualSD = math.Sqrt(sse / float64(n-2))
	f.SlopeSD = f.ResidualSD / math.Sqrt(mx.m2)
	f.InterceptSD = f.ResidualSD * math.Sqrt(1/float64(n)+mx.Mean()*mx.Mean()/mx.m2)
	t := StudentQuantile(0.975, float64(n-2))
	f.Low, f.High = f.Slope-t*f.SlopeSD, f.Slope+t*f.SlopeSD
	return f
}
