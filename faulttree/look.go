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
	m      *model
	fix    []float64 // what a remedy counts, by cause
	handOn float64   // what handing on counts
	order  []int     // causes by what is likely and quick to begin with, so that sorting finds little to do
	list   []int
	worth  []float64
	lefts  []float64
	rate   []float64 // chance of cure per weighed minute
	bufs   [][]float64
}

func newLooker(m *model) *looker { return lookerAt(m, m.fix, m.handOn) }

// carefulLooker counts a repair in vain for more than its minutes: a part fitted for nothing, trust lost, something
// sound disturbed. Every repair is charged for that, and the one that cures gets it back; as that happens in all
// visits but those handed on, it comes to the same to charge these, too, and the order by chance per minute stays the
// best one. What it is to leave a customer without a repair is charged beside.
func carefulLooker(m *model) *looker {
	fix := make([]float64, len(m.fix))
	for i, v := range m.fix {
		fix[i] = v + wrongRepair
	}
	return lookerAt(m, fix, m.handOn+wrongRepair+noRepair)
}

func lookerAt(m *model, fix []float64, handOn float64) *looker {
	n := len(fix)
	l := &looker{m: m, fix: fix, handOn: handOn, order: make([]int, n), list: make([]int, 0, n),
		lefts: make([]float64, n), worth: make([]float64, n), rate: make([]float64, n)}
	for i := range l.order {
		l.order[i] = i
		l.rate[i] = m.works[i] / fix[i]
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
	value, first = l.handOn*left, -1
	for i := len(list) - 1; i >= 0; i-- {
		c := list[i]
		v := l.fix[c]*l.lefts[i] + value
		if h := l.handOn * l.lefts[i]; h <= v {
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
	least = least / l.handOn * (1 - near)
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
	e := l.handOn
	b := e * weight[len(weight)-1]
	for c, fix := range l.fix {
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
	for c, fix := range l.fix {
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

// next is the rule: look two steps ahead, and count a repair in vain for more than its minutes. The minutes
// told with it are those expected, without that.
func (m *model) next(s *state) choice {
	_, c := carefulLooker(m).look(s, 2)
	l, total := newLooker(m), sum(s.weight)
	swap, _ := l.remediesOnly(s.weight, s.tried)
	c.swap = swap / total
	switch {
	case c.probe >= 0:
		c.value = l.withProbe(s, c.probe) / total
	case c.cause >= 0:
		c.value = l.withRemedy(s, c.cause) / total
	default:
		c.value = m.handOn
	}
	return c
}

// withProbe is the value of asking a probe and then looking one step ahead.
func (l *looker) withProbe(s *state, p int) float64 {
	return l.m.cost(s, p)*sum(s.weight) + l.ask(s, p, 1, math.Inf(1))
}

// withRemedy is the value of a remedy and, where it fails, of looking one step ahead.
func (l *looker) withRemedy(s *state, c int) float64 {
	total, weight := sum(s.weight), s.weight
	s.weight, s.tried[c] = slices.Clone(weight), true
	s.weight[c] *= 1 - l.m.works[c]
	v, _ := l.look(s, 1)
	s.weight, s.tried[c] = weight, false
	return l.fix[c]*total + v
}
