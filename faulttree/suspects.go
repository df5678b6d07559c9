package faulttree

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Suspects are all causes, Unlisted included, most likely first.
func (w Walk) Suspects() []Suspect {
	if w.env == nil {
		return nil
	}
	s := w.situate()
	out := make([]Suspect, 0, len(s.m.causes))
	for c, id := range s.m.causes {
		out = append(out, Suspect{Cause: id, Title: w.causeTitle(id), Probability: s.weight[c], Prior: s.m.prior[c],
			Cured: s.cured[c], Shown: s.shown(w, c), Moved: s.moved(c)})
	}
	slices.SortStableFunc(out, func(a, b Suspect) int { return cmp.Compare(b.Probability, a.Probability) })
	return out
}

func (w Walk) causeTitle(id string) string {
	if id == Unlisted {
		return "Something not listed here"
	}
	return w.env.base.Causes[id].Title
}

// moved weighs every counting answer for one cause: log2 of its likelihood there against the mean
// over what all other answers leave.
func (s *situation) moved(c int) (out []Weight) {
	for p, k := range s.answer {
		if k < 0 {
			continue
		}
		if e := s.expected(p, -1); e > 0 {
			bits := math.Log2(s.m.probes[p].like[k][c] / e)
			out = append(out, Weight{Probe: s.m.probes[p].id, Answer: s.m.probes[p].words[k], Bits: bits})
		}
	}
	slices.SortStableFunc(out, func(a, b Weight) int { return cmp.Compare(math.Abs(b.Bits), math.Abs(a.Bits)) })
	return out
}

// expected is the probability of a probe's given answer by all other answers; skip leaves out one
// cause (-1: none).
func (s *situation) expected(p, skip int) float64 {
	like := s.m.probes[p].like[s.answer[p]]
	num, den := 0.0, 0.0
	for c, w := range s.weight {
		if c == skip || like[c] == 0 {
			continue
		}
		num += w
		den += w / like[c]
	}
	if den == 0 {
		return 0
	}
	return num / den
}

// Conflict is how badly the answers fit together, in bits: log2 of the product of their chances, one
// by one, over their chance together (Jensen, Chamberlain, Nordahl, Jensen 1990). Above zero is no
// more than a hint: one honest visit in five shows it.
func (w Walk) Conflict() float64 {
	if w.env == nil {
		return 0
	}
	s := w.situate()
	m, single, joint := s.m, 0.0, append([]float64(nil), w.env.m.prior...)
	for p, k := range s.answer {
		if k < 0 {
			continue
		}
		single += math.Log2(m.chances(m.prior, p)[k])
		for c, l := range m.probes[p].like[k] {
			joint[c] *= l
		}
	}
	return single - math.Log2(sum(joint))
}

// Blame is the counting answer least expected by all the others, to be asked again when answers
// contradict each other; ok is false while they do not.
func (w Walk) Blame() (odd Weight, ok bool) {
	if w.Conflict() <= 0 {
		return Weight{}, false
	}
	s, least := w.situate(), math.Inf(1)
	for p, k := range s.answer {
		if k < 0 {
			continue
		}
		if e := s.expected(p, -1); e < least {
			least, ok = e, true
			odd = Weight{Probe: s.m.probes[p].id, Answer: s.m.probes[p].words[k], Bits: math.Log2(e)}
		}
	}
	return odd, ok
}

// Odd is the hint that an answer contradicts the others.
type Odd struct {
	Probe, Answer string
	Ask           string  // the probe's question
	Chance        float64 // of this answer, by all others
	Feed          bool    // the feed says it, nobody slipped: it comes and goes, or there are two faults
}

// oddBelow is the chance below which an answer that contradicts the others is worth a hint. Honest visits
// contradict themselves often enough: without it one in five would be told so.
const oddBelow = 0.05

// Odd is the answer to be asked again; ok is false while none stands out.
func (w Walk) Odd() (o Odd, ok bool) {
	b, ok := w.Blame()
	if !ok || math.Exp2(b.Bits) >= oddBelow {
		return Odd{}, false
	}
	s := w.situate()
	from := w.steps[s.from[s.m.index[b.Probe]]]
	return Odd{Probe: b.Probe, Answer: b.Answer, Ask: w.env.base.Probes[b.Probe].Ask, Chance: math.Exp2(b.Bits), Feed: from.Act == Evidence}, true
}

// String says the hint in one sentence, without alarm.
func (o Odd) String() string {
	if o.Feed {
		return fmt.Sprintf("does not fit the rest (a chance of %s): %s %s; it may come and go, or there are two faults", percent(o.Chance), o.Ask, o.Answer)
	}
	return fmt.Sprintf("does not fit the rest (a chance of %s): %s %s; if in doubt, ask it again", percent(o.Chance), o.Ask, o.Answer)
}
