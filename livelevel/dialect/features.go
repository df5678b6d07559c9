package dialect

import (
	"math"
	"slices"
	"sort"
	"time"
)

// features are what a column's values show, the numbers that stand for a lost echo left out.
type features struct {
	n                 int
	min, max, med     float64
	usual             float64 // 85 of 100 are no more
	lo, hi            float64 // the same as min and max, but for a few that damage may have made
	decimals          int
	integer           bool
	constant, binary  bool
	rising            float64 // share of steps that go up or stay
	strict            float64 // share of steps that go up
	step              float64 // usual step of a rising column
	exact             bool    // its steps are all of one size, but for a few in a hundred
	evenly            bool    // and it keeps to it
	perSecond         float64 // slope against arrival times, 0 unknown
	states, lostWords int     // words
	otherWords        int
	stamps, full      bool
	lost              []float64 // numbers that stand for a lost echo
	two               bool      // two words, each often: a flag whatever they mean
	regular           bool      // its steps are nearly all of one size: a counter or a clock
}

func (c *series) features(times []time.Time) features {
	f := features{n: len(c.vals), stamps: c.stamps*2 > c.seen, full: c.full*2 > c.seen}
	for w, n := range c.words {
		switch s := stateOf([]byte(w)); {
		case s == wordLost || phrase([]byte(w)) == len(w) && w != "" || w == "":
			f.lostWords += n
		case s != 0:
			f.states += n
		default:
			f.otherWords += n
		}
	}
	f.two = c.twoWords()
	for d, n := range c.dec {
		if n*33 > len(c.vals) {
			f.decimals = d
		}
	}
	f.integer = f.decimals == 0
	f.lost = lostNumbers(c.vals)
	keep := c.without(f.lost)
	if len(keep) == 0 {
		keep = c.vals
	}
	if len(keep) > 0 {
		f.shape(keep)
		f.motion(c.vals)
		f.slope(c, times)
	}
	return f
}

// twoWords tells whether a column says one of two words, each of them more than once or twice.
func (c *series) twoWords() bool {
	n := 0
	for w, times := range c.words {
		if s := stateOf([]byte(w)); s == wordLost || w == "" {
			continue
		}
		if n++; times < 3 {
			return false
		}
	}
	return n == 2 && len(c.vals) == 0
}

func (c *series) without(lost []float64) []float64 {
	var keep []float64
	for _, v := range c.vals {
		if !slices.Contains(lost, v) {
			keep = append(keep, v)
		}
	}
	return keep
}

func (f *features) shape(v []float64) {
	s := slices.Clone(v)
	sort.Float64s(s)
	f.min, f.max, f.med = s[0], s[len(s)-1], s[len(s)/2]
	f.lo, f.hi = s[len(s)*3/100], s[len(s)-1-len(s)*3/100]
	f.usual = s[len(s)*85/100]
	f.constant = f.min == f.max
	f.binary = f.min >= 0 && f.max <= 1
	for _, x := range s {
		f.binary = f.binary && (x == 0 || x == 1)
	}
}

func (f *features) motion(v []float64) {
	if len(v) < 2 {
		return
	}
	up, same := 0, 0
	var ups []float64
	for i := 1; i < len(v); i++ {
		d := v[i] - v[i-1]
		switch {
		case d > 0:
			up++
			ups = append(ups, d)
		case d == 0:
			same++
		}
	}
	n := float64(len(v) - 1)
	f.rising, f.strict = float64(up+same)/n, float64(up)/n
	if len(ups) > 0 {
		sort.Float64s(ups)
		f.step = ups[len(ups)/2]
	}
	even, exact := 0, 0
	for _, u := range ups {
		if math.Abs(u-f.step) <= 0.03*f.step {
			exact++
		}
		if math.Abs(u-f.step) <= 0.25*f.step {
			even++
		}
	}
	f.exact = len(ups) >= 3 && exact*10 >= len(ups)*8
	f.regular = len(ups) >= 5 && (f.strict > 0.85 && even*10 >= len(ups)*8 || even == len(ups) && beats(v))
}

// beats tells whether a column that only rises keeps each value for as many reports as the next, as a clock
// in whole seconds does under several reports a second. A level that is drawn down does not keep time.
func beats(v []float64) bool {
	from, shortest, longest, steps := -1, math.MaxInt, 0, 0
	for i := 1; i < len(v); i++ {
		switch {
		case v[i] < v[i-1]:
			return false
		case v[i] == v[i-1]:
			continue
		case from >= 0:
			shortest, longest = min(shortest, i-from), max(longest, i-from)
			steps++
		}
		from = i
	}
	return steps >= 5 && longest-shortest <= 1
}

// slope is how fast a rising column goes by the arrival times.
func (f *features) slope(c *series, times []time.Time) {
	if f.rising < 0.85 || f.step == 0 || len(c.vals) < 3 || len(times) == 0 || times[0].IsZero() {
		return
	}
	lag := min(slopeLag, len(c.vals)-1)
	var rates []float64
	for i := lag; i < len(c.vals); i++ {
		d := times[c.rowOf[i]].Sub(times[c.rowOf[i-lag]]).Seconds()
		if rise := c.vals[i] - c.vals[i-lag]; d > 0.05*float64(lag) && rise > 0 {
			rates = append(rates, rise/d)
		}
	}
	if len(rates) == 0 {
		return
	}
	sort.Float64s(rates)
	n := len(rates)
	f.perSecond = rates[n/2] // restarts and damage do not move it
	f.evenly = rates[n*9/10]-rates[n/10] < 0.06*f.perSecond
}

const slopeLag = 10

// lostNumbers finds the numbers that stand for a lost echo: those that no distance can be, and round ends
// of a range that stand apart from all the rest and come again exactly.
func lostNumbers(vals []float64) []float64 {
	counts := map[float64]int{}
	for _, v := range vals {
		counts[v]++
	}
	var rest []float64
	for _, v := range vals {
		if v > 0 && !(sentinel(v) && v >= 900) && !rangeEnd(v) && !nines(v) {
			rest = append(rest, v)
		}
	}
	top := math.Inf(-1)
	if len(rest) > 0 {
		sort.Float64s(rest)
		top = rest[len(rest)-1-len(rest)*3/100]
	}
	var lost []float64
	for v, n := range counts {
		switch {
		case v <= 0 && (sentinel(v)), v >= 900 && sentinel(v) && len(rest) > 0 && v > 1.5*top:
			lost = append(lost, v)
		case nines(v) && n >= 2 && len(rest) > 0 && v > 1.15*top:
			lost = append(lost, v)
		case rangeEnd(v) && n >= 2 && len(rest) > 0 && v > 1.3*top:
			lost = append(lost, v)
		case n >= 3 && len(rest) > 2*n && v == top && apart(rest, v):
			lost = append(lost, v)
		}
	}
	sort.Float64s(lost)
	return lost
}

// apart tells whether the top value stands far from the next one below it.
func apart(sorted []float64, v float64) bool {
	i := sort.SearchFloat64s(sorted, v)
	if i == 0 {
		return false
	}
	spread := sorted[i-1] - sorted[0]
	return v-sorted[i-1] > 0.5*v && v-sorted[i-1] > 3*spread
}

// against is the correlation of two columns over the rows that have both.
func against(a, b *series, lostA, lostB []float64) (r float64, n int) {
	var x, y []float64
	for row, v := range a.nums {
		w, ok := b.nums[row]
		if !ok || slices.Contains(lostA, v) || slices.Contains(lostB, w) {
			continue
		}
		x, y = append(x, v), append(y, w)
	}
	if len(x) < 5 {
		return 0, len(x)
	}
	return alike(x, y), len(x)
}

// alike is the correlation by rank of all but the 12 % that lie farthest off: a few damaged values must not
// hide a line.
func alike(x, y []float64) float64 {
	rx, ry := ranks(x), ranks(y)
	r := correlation(rx, ry)
	if math.Abs(r) < 0.5 {
		return r
	}
	top := float64(len(x) - 1)
	off := make([]float64, len(x))
	for i := range rx {
		if r < 0 {
			ry[i] = top - ry[i]
		}
		off[i] = math.Abs(rx[i] - ry[i])
	}
	limit := slices.Sorted(slices.Values(off))[len(off)*88/100]
	var kx, ky []float64
	for i := range off {
		if off[i] <= limit {
			kx, ky = append(kx, x[i]), append(ky, y[i])
		}
	}
	return correlation(ranks(kx), ranks(ky))
}

func correlation(x, y []float64) float64 {
	mx, my := mean(x), mean(y)
	var sxy, sxx, syy float64
	for i := range x {
		sxy += (x[i] - mx) * (y[i] - my)
		sxx += (x[i] - mx) * (x[i] - mx)
		syy += (y[i] - my) * (y[i] - my)
	}
	if sxx == 0 || syy == 0 {
		return 0
	}
	return sxy / math.Sqrt(sxx*syy)
}

// ranks are the places of the values in order; equal ones share the middle of theirs.
func ranks(x []float64) []float64 {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	sort.Slice(order, func(i, j int) bool { return x[order[i]] < x[order[j]] })
	out := make([]float64, len(x))
	for i := 0; i < len(order); {
		j := i
		for j < len(order) && x[order[j]] == x[order[i]] {
			j++
		}
		for k := i; k < j; k++ {
			out[order[k]] = float64(i+j-1) / 2
		}
		i = j
	}
	return out
}

func mean(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s / float64(len(x))
}
