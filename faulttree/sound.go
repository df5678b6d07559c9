package faulttree

import "math"

// shownFrom is how much better than an installation in good order, in bits, a cause must explain the answers to
// count as found. Engineering judgement: the likeliest causes of healthy installations of the practice rig, all
// probes answered, stay below 0 under every complaint; 142 of 149 broken ones are above.
const shownFrom = 0.5

// overSound is how much better one cause explains the counting answers than an installation in good order
// would, in bits: log2 of their likelihood ratio. A complaint takes one of its causes to be there; where all
// answers are those of a sound installation, the likeliest of them is still no finding.
func (s *situation) overSound(w Walk, c int) (bits float64) {
	for p, k := range s.answer {
		if k < 0 {
			continue
		}
		sound := floor(w.env.base.Probes[s.m.probes[p].id].Usual)
		bits += math.Log2(s.m.probes[p].like[k][c] / sound[k])
	}
	return bits
}

// shown tells whether the answers speak for a cause and not just as well for an installation in good order.
func (s *situation) shown(w Walk, c int) bool {
	return s.overSound(w, c) >= shownFrom
}

// nothingShown tells that answers came and none of the likely causes explains them better than an installation
// in good order does.
func (s *situation) nothingShown(w Walk) bool {
	said := false
	for _, k := range s.answer {
		said = said || k >= 0
	}
	for c := range s.m.fix {
		if s.weight[c] >= 0.05 && s.shown(w, c) {
			return false
		}
	}
	return said
}
