package diagnostics

import (
	"math"
	"slices"
)

const (
	blockSeconds = 15.0 // long enough for waves of a tank, short enough for a line through the filling
	blockMost    = 1024
	blockFewest  = 16  // a slow feed gets longer blocks
	blockLongest = 300 // s
	minBlock     = 8   // readings from which a spread is worth anything
)

// block is a stretch of feed in one state of the pump, with the level's own motion taken out.
type block struct {
	from, to float64
	n        int
	u        float64 // median distance
	slope    float64 // m/s of the distance
	low      float64 // least and greatest distance without spikes
	high     float64
	spread   float64 // robust standard deviation about the line
	lag1     float64 // correlation of neighbouring residuals
	wild     int     // readings beyond the Hampel limit
	spikes   int     // of those, the ones that stand alone
	same     int     // readings equal to the one before
	change   float64 // mean of the changes that are none of those, at most 5 cm each
	pump     int8
	two      bool // two populations
	lo, hi   float64
	hiShare  float64
}

// fitter collects the readings of a block and fits them.
type fitter struct {
	n          int
	pump       int8
	t, u, r, w [blockMost]float64
}

func (f *fitter) clear() { f.n = 0 }

func (f *fitter) put(t, u float64, pump int8) {
	if f.n == 0 {
		f.pump = pump
	}
	f.t[f.n], f.u[f.n] = t, u
	f.n++
}

// closes tells whether the block ends before this item.
func (f *fitter) closes(s *item, period float64) bool {
	if f.n == 0 {
		return false
	}
	age := s.t - f.t[0]
	return f.n == blockMost || s.pump != f.pump ||
		age >= blockSeconds && f.n >= blockFewest || age >= blockLongest
}

// fit puts a resistant line (medians of the outer thirds, Tukey) through the block and looks at the
// rest. It reports false where there is too little.
func (f *fitter) fit(b *block, step float64) bool {
	n := f.n
	if n < 3 {
		return false
	}
	u, t := f.u[:n], f.t[:n]
	*b = block{from: t[0], to: t[n-1], n: n, pump: f.pump, u: f.median(u)}
	third := n / 3
	tl, tr := (t[0]+t[third])/2, (t[n-1]+t[n-1-third])/2
	if tr > tl && n >= minBlock {
		b.slope = (f.median(u[n-third:]) - f.median(u[:third])) / (tr - tl)
	}
	f.split(b, step)
	if b.two {
		b.slope = 0 // the line runs between the populations
	}
	f.residuals(b, step)
	return true
}

func (f *fitter) median(x []float64) float64 {
	w := f.w[:len(x)]
	copy(w, x)
	return quickMedian(w)
}

// residuals finds spread, spikes and lag-1 correlation about the line.
func (f *fitter) residuals(b *block, step float64) {
	n := f.n
	mid := (b.from + b.to) / 2
	for i := range n {
		f.r[i] = f.u[i] - b.u - b.slope*(f.t[i]-mid)
		f.w[i] = f.r[i]
	}
	shift := 0.0
	if !b.two {
		shift = quickMedian(f.w[:n])
	}
	for i := range n {
		f.r[i] -= shift
		f.w[i] = math.Abs(f.r[i])
	}
	sigma := madSigma * quickMedian(f.w[:n])
	if b.two {
		sigma = b.spread
	}
	sigma = math.Max(sigma, step/2)
	f.sums(b, 3.5*sigma, math.Max(5*sigma, math.Max(2*step, 0.02)))
	b.spread = math.Max(b.spread, step/math.Sqrt(12))
}

// sums takes the standard deviation of what lies within keep (Hampel), and counts what is beyond wild.
func (f *fitter) sums(b *block, keep, wild float64) {
	var ss, cross, prev float64
	b.low, b.high = math.Inf(1), math.Inf(-1)
	kept, run := 0, 0
	for i, r := range f.r[:f.n] {
		if i > 0 {
			if c := math.Abs(f.u[i] - f.u[i-1]); c == 0 {
				b.same++
			} else {
				b.change += math.Min(c, 0.05)
			}
		}
		if a := math.Abs(r); a > wild {
			run++
			b.wild++
			prev = 0
			continue
		} else if a <= keep {
			kept++
			ss += r * r
			cross += r * prev
			prev = r
			b.low, b.high = math.Min(b.low, f.u[i]), math.Max(b.high, f.u[i])
		} else {
			prev = 0
		}
		if run > 0 && run <= 3 && f.alone(i-run, i, keep, wild) {
			b.spikes += run
		}
		run = 0
	}
	if moves := f.n - 1 - b.same; moves > 0 {
		b.change /= float64(moves)
	}
	if kept > 2 {
		b.spread = math.Sqrt(ss / float64(kept-2))
	}
	if ss > 0 {
		b.lag1 = cross / ss
	}
}

// alone tells whether the readings from i up to j stand out of a calm neighbourhood: in a gust of
// waves the neighbours scatter too.
func (f *fitter) alone(i, j int, keep, wild float64) bool {
	stirred := 0
	for _, k := range [...]int{i - 2, i - 1, j, j + 1} {
		if k >= 0 && k < f.n {
			if a := math.Abs(f.r[k]); a > keep && a <= wild {
				stirred++
			}
		}
	}
	return stirred <= 1
}

// split looks for two populations: a wide empty gap with a fair share on either side, and readings
// that keep changing sides (a hand under the sensor changes sides twice).
func (f *fitter) split(b *block, step float64) {
	n := f.n
	if n < minBlock || slices.Max(f.u[:n])-slices.Min(f.u[:n]) < 0.05 {
		return
	}
	w := f.w[:n]
	copy(w, f.u[:n])
	slices.Sort(w)
	side := max(3, n*8/100)
	cut, gap := 0, 0.0
	for i := side; i <= n-side; i++ {
		if g := w[i] - w[i-1]; g > gap {
			cut, gap = i, g
		}
	}
	if gap < math.Max(0.03, 3*step) {
		return
	}
	lo, hi := w[:cut], w[cut:]
	ls, hs := quarterSpread(lo), quarterSpread(hi)
	at := w[cut-1] + gap/2
	if gap < 4*math.Max(ls, hs) || f.crossings(at) < 4 {
		return
	}
	b.two, b.lo, b.hi = true, lo[len(lo)/2], hi[len(hi)/2]
	b.hiShare = float64(len(hi)) / float64(n)
	if b.u, b.spread = b.lo, ls; b.hiShare > 0.5 {
		b.u, b.spread = b.hi, hs
	}
}

// quarterSpread is the robust standard deviation of sorted values by their quartiles.
func quarterSpread(sorted []float64) float64 {
	n := len(sorted)
	return (sorted[n-1-n/4] - sorted[n/4]) / 1.349
}

func (f *fitter) crossings(at float64) (n int) {
	for i := 1; i < f.n; i++ {
		if (f.u[i] > at) != (f.u[i-1] > at) {
			n++
		}
	}
	return n
}
