package faulttree

import (
	"fmt"
	"math"

	"example.org/tankhand/faulttree/knowledge"
)

// Explanation tells a learner about one suspect: what it is, and what speaks for and against it.
type Explanation struct {
	Title, About, Remedy, Proof string
	Probability, Prior          float64
	For, Against                []string // strongest first
}

// leastWord is the weight from which an answer is worth a line.
const leastWord = 0.15

// Explain tells about one suspect of this walk; ok is false for a cause that is not on its list.
func (w Walk) Explain(cause string) (e Explanation, ok bool) {
	for _, s := range w.Suspects() {
		if s.Cause != cause {
			continue
		}
		e = Explanation{Title: s.Title, Probability: s.Probability, Prior: s.Prior}
		if c := w.env.base.Causes[cause]; c != nil {
			e.About, e.Remedy = c.About, c.Remedy
			e.Proof = fmt.Sprintf("%s: %s", w.env.base.Probes[c.Proof.Probe].Ask, c.Proof.Want)
		}
		for _, m := range s.Moved {
			line := fmt.Sprintf("%s: %s (%s)", w.env.base.Probes[m.Probe].Ask, m.Answer, times(m.Bits))
			switch {
			case m.Bits >= leastWord:
				e.For = append(e.For, line)
			case m.Bits <= -leastWord:
				e.Against = append(e.Against, line)
			}
		}
		return e, true
	}
	return e, false
}

// times says a weight in plain words: how many times likelier or less likely than on the average of all
// suspects.
func times(bits float64) string {
	if bits < 0 {
		return fmt.Sprintf("%.2g times less likely here, %.1f bit", math.Exp2(-bits), bits)
	}
	return fmt.Sprintf("%.2g times likelier here, %+.1f bit", math.Exp2(bits), bits)
}

// PriorLine is one cause's prior as shipped and as learned from a firm's own visits.
type PriorLine struct {
	Cause, Title     string
	Shipped, Learned float64
	Found            float64 // visits, those without proof in shares
}

// SideBySide lists shipped and learned priors of a complaint, Unlisted last.
func SideBySide(base *knowledge.Base, c *knowledge.Complaint, visits []Closed) (out []PriorLine) {
	was := shippedPriors(c)
	is := Learn(c, visits)
	if is == nil {
		is = was
	}
	found, _ := counts(c, was, visits)
	for _, id := range c.Causes {
		out = append(out, PriorLine{id, base.Causes[id].Title, was[id], is[id], found[id]})
	}
	return append(out, PriorLine{Unlisted, "Something not listed here", was[Unlisted], is[Unlisted], found[Unlisted]})
}
