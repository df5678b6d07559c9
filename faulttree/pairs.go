package faulttree

import (
	"cmp"
	"slices"
)

// Pair is two causes at once with its probability.
type Pair struct {
	A, B        string
	Probability float64
}

// pairPrior is the prior of two faults at once, all pairs together.
const pairPrior = 0.10

// Pairs weighs two faults at once against one, on demand when answers fit no single cause: a probe on
// which one of the two has a say answers as under that one, on which both have as the mean of both,
// and as usual where neither has. both is the belief in any pair.
func (w Walk) Pairs(most int) (pairs []Pair, both float64) {
	if w.env == nil {
		return nil, 0
	}
	s := w.situate()
	m, n := s.m, len(s.m.fix)
	single, norm := 0.0, 0.0
	for c, p := range m.prior {
		single += (1 - pairPrior) * p * s.likelihood(func(p int) float64 { return m.probes[p].like[s.answer[p]][c] })
	}
	for a := range n {
		for b := a + 1; b < n; b++ {
			norm += m.prior[a] * m.prior[b]
		}
	}
	for a := range n {
		for b := a + 1; b < n; b++ {
			v := pairPrior * m.prior[a] * m.prior[b] / norm * s.likelihood(func(p int) float64 { return s.pairRow(p, a, b) })
			pairs = append(pairs, Pair{m.causes[a], m.causes[b], v})
			both += v
		}
	}
	total := single + both
	for i := range pairs {
		pairs[i].Probability /= total
	}
	slices.SortStableFunc(pairs, func(x, y Pair) int { return cmp.Compare(y.Probability, x.Probability) })
	return pairs[:min(most, len(pairs))], both / total
}

// likelihood is the product over all counting answers.
func (s *situation) likelihood(of func(probe int) float64) float64 {
	l := 1.0
	for p, k := range s.answer {
		if k >= 0 {
			l *= of(p)
		}
	}
	return l
}

// pairRow is the chance of a probe's counting answer under two causes at once.
func (s *situation) pairRow(p, a, b int) float64 {
	pm := &s.m.probes[p]
	like := pm.like[s.answer[p]]
	switch {
	case pm.names[a] && pm.names[b]:
		return (like[a] + like[b]) / 2
	case pm.names[a]:
		return like[a]
	}
	return like[b] // b's own row, or the usual one
}
