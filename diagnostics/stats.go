package diagnostics

import (
	"math"
	"slices"

	"example.org/tankhand/livelevel/signal"
)

// madSigma turns a median absolute deviation into a standard deviation of normal data: 1/Phi^-1(3/4).
const madSigma = 1.482602218506

// z95 is the two-sided 95 % quantile of the normal distribution.
const z95 = signal.Z95

// quickMedian is the median of w, which it reorders (quickselect; the upper one of an even count,
// averaged with the lower).
func quickMedian(w []float64) float64 {
	n := len(w)
	if n == 0 {
		return math.NaN()
	}
	m := quickSelect(w, n/2)
	if n%2 == 1 {
		return m
	}
	return (m + slices.Max(w[:n/2])) / 2
}

// quickSelect puts the k-th least in its place, with the lesser ones before it.
func quickSelect(w []float64, k int) float64 {
	lo, hi := 0, len(w)-1
	for lo < hi {
		p := w[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for w[i] < p {
				i++
			}
			for w[j] > p {
				j--
			}
			if i <= j {
				w[i], w[j] = w[j], w[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return w[k]
		}
	}
	return w[k]
}

// wilson is the 95 % score interval of a share of x in n; NaN without any.
func wilson(x, n float64) (low, high float64) {
	if n <= 0 {
		return math.NaN(), math.NaN()
	}
	return signal.Wilson(int(x), int(n), z95)
}

// logHist is a bounded sketch of positive values for quantiles: bins of 2 % from 1e-5 to 1e3.
type logHist struct {
	bins  [logBins]float64
	total float64
}

const logBins = 931

var logStep = math.Log(1.02)

func (h *logHist) add(v, weight float64) {
	i := int(math.Log(math.Max(v, 1e-5)/1e-5) / logStep)
	h.bins[min(max(i, 0), logBins-1)] += weight
	h.total += weight
}

// quantile is the middle of the bin that holds the q-quantile, NaN when empty.
func (h *logHist) quantile(q float64) float64 {
	if h.total == 0 {
		return math.NaN()
	}
	left := q * h.total
	for i, w := range h.bins {
		if left -= w; left <= 0 && w > 0 {
			return 1e-5 * math.Exp((float64(i)+0.5)*logStep)
		}
	}
	return math.NaN()
}

// medianWithin are the quantiles between which the median of n values lies in 95 of 100 cases, by order statistics.
func medianWithin(n int) (low, high float64) {
	half := z95 / 2 / math.Sqrt(math.Max(1, float64(n)))
	return math.Max(0, 0.5-half), math.Min(1, 0.5+half)
}

// median of n values that were added, with its 95 % interval.
func (h *logHist) median(n int) slopeFit {
	low, high := medianWithin(n)
	return slopeFit{h.quantile(0.5), h.quantile(low), h.quantile(high)}
}

// trail is a bounded run of points for a Theil-Sen slope: when it is full, neighbours become one, the
// mean of both, and so do those that come.
type trail struct {
	t, y   [trailMost]float64
	n      int
	stride int
	st, sy float64 // sums of the point being made
	k      int
	fitted bool
	fit    slopeFit
	coarse slopeFit // of the points by pairs, when there were so many:
	paired int
	due    float64 // when a word should be judged next
}

const trailMost = 48

// slopeFit is a Theil-Sen slope with its 95 % interval (Sen 1968, by Kendall's variance).
type slopeFit struct{ mid, low, high float64 }

func (r *trail) add(t, y float64) {
	r.stride = max(r.stride, 1)
	r.st += t
	r.sy += y
	if r.k++; r.k < r.stride {
		return
	}
	k := float64(r.k)
	t, y = r.st/k, r.sy/k
	r.st, r.sy, r.k = 0, 0, 0
	if r.n == trailMost {
		for i := range trailMost / 2 {
			r.t[i], r.y[i] = (r.t[2*i]+r.t[2*i+1])/2, (r.y[2*i]+r.y[2*i+1])/2
		}
		r.n, r.stride = trailMost/2, 2*r.stride
	}
	r.t[r.n], r.y[r.n] = t, y
	r.n++
	r.fitted, r.paired = false, 0
}

func (r *trail) span() float64 {
	if r.n < 2 {
		return 0
	}
	return r.t[r.n-1] - r.t[0]
}

// slope fits once for each new point.
func (r *trail) slope() slopeFit {
	if !r.fitted {
		r.fit, r.fitted = theilSen(r.t[:r.n], r.y[:r.n]), true
	}
	return r.fit
}

// rough is the slope of the points taken in pairs where there are many: the mean of two scatters less than one,
// so that little is lost, for a quarter of the work. It serves where only a word hangs on it.
func (r *trail) rough() slopeFit {
	if r.n < trailMost/2 {
		return r.slope()
	}
	if pairs := r.n / 2; r.paired != r.n {
		var t, y [trailMost / 2]float64
		for i := range pairs {
			t[i], y[i] = (r.t[2*i]+r.t[2*i+1])/2, (r.y[2*i]+r.y[2*i+1])/2
		}
		r.coarse, r.paired = theilSen(t[:pairs], y[:pairs]), r.n
	}
	return r.coarse
}

// ripe spaces the judging of words: every ten seconds, then after each tenth of the trail's length,
// because a fit costs the square of its points.
func (r *trail) ripe(t float64) bool {
	if t < r.due {
		return false
	}
	r.due = t + math.Max(10, r.span()/10)
	return true
}

// part fits the points from i up to j.
func (r *trail) part(i, j int) slopeFit { return theilSen(r.t[i:j], r.y[i:j]) }

// theilSen is the median of all pairwise slopes with its interval; NaN for fewer than 3 points.
func theilSen(t, y []float64) slopeFit {
	n := len(t)
	if n < 3 {
		return slopeFit{math.NaN(), math.NaN(), math.NaN()}
	}
	var room [trailMost * (trailMost - 1) / 2]float64
	s := room[:0]
	for i := range n {
		for j := i + 1; j < n; j++ {
			if dt := t[j] - t[i]; dt != 0 {
				s = append(s, (y[j]-y[i])/dt)
			}
		}
	}
	if len(s) == 0 {
		return slopeFit{math.NaN(), math.NaN(), math.NaN()}
	}
	half := int(z95 * math.Sqrt(float64(n*(n-1)*(2*n+5))/18) / 2)
	m := len(s) / 2
	fit := slopeFit{mid: quickMedian(s)} // leaves the lesser ones before the middle
	fit.low = quickSelect(s[:m+1], max(0, m-half))
	fit.high = quickSelect(s[m:], min(len(s)-1-m, half))
	return fit
}
