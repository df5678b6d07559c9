package faulttree

import (
	"cmp"
	"math"
	"slices"
)

// choice is what the rule would do: ask a probe, do a remedy, or hand on (both -1).
type choice struct {
	probe, cause int
	value        float64 // expected weighed minutes with it
	swap         float64 // expected weighed minutes of remedies only
}

// looker holds the scratch of one look-ahead.
type looker struct {
	m     *model
	order []int // causes by what is likely and quick to begin with, so that sorting finds little to do
	list  []int
	worth []float64
	lefts []float64
	rate  []float64 // chance of cure per weighed minute
	bufs  [][]float64
}

func newLooker(m *model) *looker {
	n := len(m.fix)
	l := &looker{m: m, order: make([]int, n), list: make([]int, 0, n), lefts: make([]float64, n), worth: make([]float64, n), rate: make([]float64, n)}
	for i := range l.order {
		l.order[i] = i
		l.rate[i] = m.works[i] / m.fix[i]
	}
	slices.SortStableFunc(l.order, func(a, b int) int { return cmp.Compare(m.prior[b]*l.rate[b], m.prior[a]*l.rate[a]) })
	for range 4 {
		l.bufs = append(l.bufs, make([]float64, len(m.causes)))
	}
	return l
}

// remediesOnly returns the expected minutes, times the sum of weight, if from here on remedies are
// tried and nothing more is asked, and the remedy to begin with (-1: hand on). Trying them by
// falling chance per minute, and handing on where that is cheaper than going on, is the best order
// (by exchange of neighbours; credited to Kadane and Simon 1977).
func (l *looker) remediesOnly(weight []float64, tried []bool) (value float64, first int) {
	total := sum(weight)
	list := l.worthwhile(weight, tried, total)
	left := total
	for i, c := range list {
		l.lefts[i] = left
		left -= weight[c] * l.m.works[c]
	}
	value, first = l.m.handOn*left, -1
	for i := len(list) - 1; i >= 0; i-- {
		c := list[i]
		v := l.m.fix[c]*l.lefts[i] + value
		if h := l.m.handOn * l.lefts[i]; h <= v {
			value, first = h, -1
		} else {
			value, first = v, c
		}
	}
	return value, first
}

// worthwhile lists the remedies by falling chance per minute. One whose chance per minute is below what
// is left at the very end over the price of handing on can stand in no best order: the last remedy of
// one must beat handing on, and all before it have a better chance per minute.
func (l *looker) worthwhile(weight []float64, tried []bool, total float64) []int {
	least := total
	for c, w := range l.m.works {
		if !tried[c] {
			least -= weight[c] * w
		}
	}
	least = least / l.m.handOn * (1 - near)
	list := l.list[:0]
	for _, c := range l.order {
		w := weight[c] * l.rate[c]
		if tried[c] || w < least || w <= 0 {
			continue
		}
		l.worth[c] = w
		list = append(list, c)
		for j := len(list) - 1; j > 0; j-- {
			d := list[j-1]
			if l.worth[d] > w || l.worth[d] == w && d < c {
				break
			}
			list[j], list[j-1] = d, c
		}
	}
	return list
}

// bound is below what any plan costs, times the sum of weight: as if the cause were known.
func (l *looker) bound(weight []float64, tried []bool) float64 {
	e := l.m.handOn
	b := e * weight[len(weight)-1]
	for c, fix := range l.m.fix {
		if tried[c] {
			b += e * weight[c]
		} else {
			b += weight[c] * math.Min(e, fix+(1-l.m.works[c])*e)
		}
	}
	return b
}

// near is the difference below which two plans count as equal.
const near = 1e-9

// look returns the best plan that looks depth steps ahead before it falls back on remedies; values
// are times the sum of the state's weight.
func (l *looker) look(s *state, depth int) (float64, choice) {
	value, first := l.remediesOnly(s.weight, s.tried)
	best := choice{probe: -1, cause: first}
	if depth == 0 {
		return value, best
	}
	bound, total := l.bound(s.weight, s.tried), sum(s.weight)
	for p := range l.m.probes {
		cost := l.m.cost(s, p) * total
		if !l.m.isOpen(s, p) || cost+bound > value+near*total {
			continue
		}
		if v := cost + l.ask(s, p, depth-1, value-cost+near*total); l.better(v, value, total, p, best) {
			value, best = v, choice{probe: p, cause: -1}
		}
	}
	if depth > 1 {
		value, best = l.remedies(s, depth, value, best, first)
	}
	return value, best
}

// better tells whether plan p beats the best so far; ties go to the lower hazard, then to fewer
// minutes, then to file order.
func (l *looker) better(v, value, total float64, p int, best choice) bool {
	if v < value-near*total {
		return true
	}
	if v > value+near*total || best.probe < 0 {
		return false
	}
	a, b := &l.m.probes[p], &l.m.probes[best.probe]
	return a.weight < b.weight || a.weight == b.weight && a.minutes < b.minutes
}

// ask is the mean value after a probe's answers; it stops early, with too much, once that is above the
// limit. The answer goes into the trial state, so that what must come after it, or must not, is seen.
func (l *looker) ask(s *state, p, depth int, limit float64) float64 {
	was, paid, weight := s.answer[p], s.paid, s.weight
	buf := l.bufs[depth]
	s.paid |= l.m.probes[p].needs
	v := 0.0
	for a, like := range l.m.probes[p].like {
		for c, w := range weight {
			buf[c] = w * like[c]
		}
		s.answer[p], s.weight = int8(a), buf
		got, _ := l.look(s, depth)
		if v += got; v > limit {
			break
		}
	}
	s.answer[p], s.paid, s.weight = was, paid, weight
	return v
}

// remedies weighs doing a remedy and looking on if it fails.
func (l *looker) remedies(s *state, depth int, value float64, best choice, first int) (float64, choice) {
	total, weight := sum(s.weight), s.weight
	buf := l.bufs[depth-1]
	for c, fix := range l.m.fix {
		if s.tried[c] || c != first && weight[c] < remedyBranch*total {
			continue
		}
		copy(buf, weight)
		buf[c] *= 1 - l.m.works[c]
		s.weight, s.tried[c] = buf, true
		v, _ := l.look(s, depth-1)
		s.weight, s.tried[c] = weight, false
		if v += fix * total; v < value-near*total {
			value, best = v, choice{probe: -1, cause: c}
		}
	}
	return value, best
}

// next is the rule: look two steps ahead; a remedy that is neither likely enough nor quick and
// harmless waits while a probe still tells something.
func (m *model) next(s *state) choice {
	l := newLooker(m)
	total := sum(s.weight)
	swap, _ := l.remediesOnly(s.weight, s.tried)
	v, c := l.look(s, 2)
	c.value, c.swap = v/total, swap/total
	if c.cause < 0 || s.weight[c.cause] >= actAt*total || m.quick[c.cause] && s.weight[c.cause] >= quickAt*total {
		return c
	}
	if p := m.mostPerMinute(s, worthBits); p >= 0 {
		c.probe, c.cause = p, -1
		c.value = l.withProbe(s, p) / total
	}
	return c
}

// withProbe is the value of asking a probe and then looking one step ahead.
func (l *looker) withProbe(s *state, p int) float64 {
	return l.m.cost(s, p)*sum(s.weight) + l.ask(s, p, 1, math.Inf(1))
}

// mostPerMinute is the open probe with the most bits per weighed minute among those that bring at
// least the least; -1 when there is none.
func (m *model) mostPerMinute(s *state, least float64) int {
	best, rate := -1, 0.0
	for p := range m.probes {
		if !m.isOpen(s, p) {
			continue
		}
		g := m.gain(s.weight, p)
		if g < least {
			continue
		}
		r := g / math.Max(m.cost(s, p), 0.1)
		if best < 0 || r > rate*(1+near) || r > rate*(1-near) && m.lighter(p, best) {
			best, rate = p, r
		}
	}
	return best
}

func (m *model) lighter(p, q int) bool {
	a, b := &m.probes[p], &m.probes[q]
	return a.weight < b.weight || a.weight == b.weight && a.minutes < b.minutes
}
