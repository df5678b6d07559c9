package faulttree

import "math"

// Marks of a probe in a state, beside the number of its answer.
const (
	open   = int8(-1) // not asked yet
	closed = int8(-2) // skipped, cannot tell, not safe, or not to be had
)

// state is where a walk stands. weight is belief not scaled to one: products of prior and
// likelihoods, so that nothing is divided on the way down the look-ahead.
type state struct {
	weight []float64
	answer []int8
	tried  []bool // remedies not offered again
	paid   uint32 // set-ups
}

func (m *model) start() state {
	s := state{weight: append([]float64(nil), m.prior...), answer: make([]int8, len(m.probes)), tried: append([]bool(nil), m.bar...)}
	for i := range s.answer {
		s.answer[i] = open
	}
	return s
}

func (s state) clone() state {
	return state{append([]float64(nil), s.weight...), append([]int8(nil), s.answer...), append([]bool(nil), s.tried...), s.paid}
}

// take enters an answer; the set-ups count as paid.
func (m *model) take(s *state, probe, answer int) {
	s.answer[probe] = int8(answer)
	s.paid |= m.probes[probe].needs
	for c, l := range m.probes[probe].like[answer] {
		s.weight[c] *= l
	}
	normalise(s.weight)
}

// isOpen tells whether a probe may be asked now.
func (m *model) isOpen(s *state, probe int) bool {
	if s.answer[probe] != open {
		return false
	}
	p := &m.probes[probe]
	for _, a := range p.after {
		if s.answer[a] == open {
			return false
		}
	}
	for _, n := range p.notAfter {
		if k := s.answer[n.probe]; k >= 0 && n.answers&(1<<k) != 0 {
			return false
		}
	}
	return true
}

// cost of asking a probe now, with the set-ups not yet paid.
func (m *model) cost(s *state, probe int) float64 {
	return m.probes[probe].cost + m.setupCost(m.probes[probe].needs&^s.paid)
}

// minutes is the same on the clock, without the weight of hazards.
func (m *model) minutes(s *state, probe int) float64 {
	return m.probes[probe].minutes + m.setupCost(m.probes[probe].needs&^s.paid)
}

func (m *model) setupCost(needs uint32) float64 {
	sum := 0.0
	for i := 0; needs != 0; i, needs = i+1, needs>>1 {
		if needs&1 != 0 {
			sum += m.setups[i]
		}
	}
	return sum
}

func sum(w []float64) float64 {
	t := 0.0
	for _, v := range w {
		t += v
	}
	return t
}

// normalise scales to a sum of one.
func normalise(w []float64) {
	if t := sum(w); t > 0 {
		for i := range w {
			w[i] /= t
		}
	}
}

// chances are the probabilities of a probe's answers now.
func (m *model) chances(weight []float64, probe int) []float64 {
	total := sum(weight)
	out := make([]float64, len(m.probes[probe].like))
	for a, like := range m.probes[probe].like {
		for c, w := range weight {
			out[a] += w * like[c] / total
		}
	}
	return out
}

// gain is what a probe's answer tells of the cause on average, in bits.
func (m *model) gain(weight []float64, probe int) float64 {
	total, bits := sum(weight), 0.0
	p := m.chances(weight, probe)
	for a, like := range m.probes[probe].like {
		for c, w := range weight {
			if w > 0 && like[c] > 0 {
				bits += w / total * like[c] * math.Log2(like[c]/p[a])
			}
		}
	}
	return math.Max(0, bits)
}
