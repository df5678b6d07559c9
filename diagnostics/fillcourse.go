package diagnostics

import "math"

// courseWord compares the beginning of a run with its end.
func (w *fillWatch) courseWord(rise string) string {
	tr := &w.s.trail
	span := tr.span()
	if rise == "" || span < 30 {
		return ""
	}
	if rise == "none" {
		if w.early().mid < w.none*w.expected()+1e-12 || math.IsNaN(w.expected()) {
			return "none-from-start"
		}
	}
	if span < 60 || tr.n < 12 {
		return ""
	}
	if w.fades() {
		return "fades"
	}
	if rise == "none" || rise == "falls" {
		return ""
	}
	return "same"
}

func (w *fillWatch) expected() float64 {
	if !math.IsNaN(w.healthy) {
		return w.healthy
	}
	return w.done.with(slopeFit{mid: math.NaN()}, 0).mid
}

// early is the slope of the first minute or third of the run, whichever is shorter.
func (w *fillWatch) early() slopeFit {
	tr := &w.s.trail
	until := tr.t[0] + math.Min(60, tr.span()/3)
	i := 0
	for i < tr.n && (tr.t[i] <= until || i < 4) {
		i++
	}
	f := tr.part(0, i)
	f.mid += w.drawn()
	return f
}

// fades looks for the split of the run that best makes two lines of it (least absolute deviations
// over a few splits), and asks whether the second brings under half of the first.
func (w *fillWatch) fades() bool {
	tr := &w.s.trail
	floor := w.least()
	if !math.IsNaN(w.d.spread) {
		floor = math.Max(floor, 4*w.d.spread)
	}
	if tr.bulge() < 0.4*floor*w.s.area() {
		return false
	}
	best, at := math.Inf(1), 0
	for k := 1; k < 6; k++ {
		i := tr.n * k / 6
		if i < 4 || tr.n-i < 4 {
			continue
		}
		if dev := deviation(tr.t[:i], tr.y[:i]) + deviation(tr.t[i:tr.n], tr.y[i:tr.n]); dev < best {
			best, at = dev, i
		}
	}
	if at == 0 || tr.t[tr.n-1]-tr.t[at] < 30 {
		return false
	}
	a, b, q := tr.part(0, at), tr.part(at, tr.n), w.drawn()
	shorter := math.Min(tr.t[tr.n-1]-tr.t[at], tr.t[at]-tr.t[0]) // waves bend a short piece
	lost := (a.mid - b.mid) * shorter / w.s.area()
	least := math.Max(floor, 5*best/float64(tr.n)/w.s.area())
	return a.low > 0 && b.high < a.low && b.mid+q < 0.5*(a.mid+q) && b.mid+q+w.d.draw.extra(1) < 0.7*(a.mid+q) && lost > least
}

// bulge is how far the points rise above the straight line from the first to the last of them. A course of two
// straight parts rises by at least half of what the second brings less over the shorter of them, so that where there
// is hardly a bulge, no such course need be looked for. The ends are means of two, for the noise.
func (r *trail) bulge() float64 {
	n := r.n
	t0, y0 := (r.t[0]+r.t[1])/2, (r.y[0]+r.y[1])/2
	slope := ((r.y[n-2]+r.y[n-1])/2 - y0) / ((r.t[n-2]+r.t[n-1])/2 - t0)
	most := 0.0
	for i := range n {
		most = math.Max(most, r.y[i]-y0-slope*(r.t[i]-t0))
	}
	return most
}

// deviation is the sum of absolute residuals about the Theil-Sen line.
func deviation(t, y []float64) float64 {
	f := theilSen(t, y)
	var r [trailMost]float64
	for i := range t {
		r[i] = y[i] - f.mid*t[i]
	}
	mid := quickMedian(append([]float64(nil), r[:len(t)]...))
	sum := 0.0
	for _, v := range r[:len(t)] {
		sum += math.Abs(v - mid)
	}
	return sum
}
