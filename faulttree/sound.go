package faulttree

import "math"

// What a cause must have to count as found, in bits over an installation in good order: all answers together, or
// one answer alone that a sound installation gives in one case of eight at most (the hour of the visit may hide
// the trouble, but not what causes it). Engineering judgement: of healthy installations of the practice rig, all
// probes answered, no likely cause has either under any complaint.
const (
	shownFrom  = 0.5
	shownAlone = 3
)

// overSound is how much better one cause explains the counting answers than an installation in good order
// would, in bits: log2 of their likelihood ratio; alone is the best of one answer. A complaint takes one of its
// causes to be there; where all answers are those of a sound installation, the likeliest is still no finding.
func (s *situation) overSound(w Walk, c int) (bits, alone float64) {
	for p, k := range s.answer {
		if k < 0 {
			continue
		}
		sound := floor(w.env.base.Probes[s.m.probes[p].id].Usual)
		b := math.Log2(s.m.probes[p].like[k][c] / sound[k])
		bits, alone = bits+b, max(alone, b)
	}
	return bits, alone
}

// shown tells whether the answers speak for a cause and not just as well for an installation in good order.
func (s *situation) shown(w Walk, c int) bool {
	bits, alone := s.overSound(w, c)
	return bits >= shownFrom || alone >= shownAlone
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
