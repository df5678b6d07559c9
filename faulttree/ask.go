package faulttree

import (
	"cmp"
	"fmt"
	"slices"
)

// Question is a probe that may be asked now, and what it is worth.
type Question struct {
	Probe   string
	Bits    float64 // what its answer tells of the cause on average
	Minutes float64 // of the technician, set-ups not yet made included
}

// Questions are the probes that may be asked now, the most telling first.
func (w Walk) Questions() (out []Question) {
	if w.env == nil {
		return nil
	}
	s := w.situate()
	if s.over || s.done || s.proof != nil {
		return nil
	}
	for p := range s.m.probes {
		if s.m.isOpen(&s.state, p) {
			out = append(out, Question{s.m.probes[p].id, s.m.gain(s.weight, p), s.m.minutes(&s.state, p)})
		}
	}
	slices.SortStableFunc(out, func(a, b Question) int { return cmp.Compare(b.Bits, a.Bits) })
	return out
}

// Untold is what the most telling probe without an answer would bring, in bits: one not asked yet, passed over, or not
// to be had by this technician. What only the feed could tell is left out.
func (w Walk) Untold() (bits float64) {
	if w.env == nil {
		return 0
	}
	s := w.situate()
	for p, k := range s.answer {
		if why := w.env.barred[s.m.probes[p].id]; k < 0 && why != notTold && why != noFeed {
			bits = max(bits, s.m.gain(s.weight, p))
		}
	}
	return bits
}

// Ask offers a probe of this complaint that the walk would not ask now, or asks one again: the newest
// answer counts. What must come before it still must, and what bars it still does.
func (w Walk) Ask(probe string) (Offer, error) {
	if w.env == nil {
		return Offer{}, fmt.Errorf("faulttree: a walk needs a complaint first")
	}
	p, listed := w.env.m.index[probe]
	if !listed {
		return Offer{}, fmt.Errorf("asking %s: it is no probe of %s (see `tankhand tree %s`)", probe, w.Complaint.ID, w.Complaint.ID)
	}
	if why := w.env.barred[probe]; why != "" && why != notTold && why != noFeed {
		return Offer{}, fmt.Errorf("asking %s: %s", probe, why)
	}
	s := w.situate()
	if s.over || s.done || s.proof != nil {
		return Offer{}, fmt.Errorf("asking %s: not now; the repair is to be proven or is done (undo takes it back)", probe)
	}
	s.forget(p)
	if !s.m.isOpen(&s.state, p) {
		return Offer{}, fmt.Errorf("asking %s: not now; %s", probe, s.before(p))
	}
	l := newLooker(s.m)
	swap, _ := l.remediesOnly(s.weight, s.tried)
	total := sum(s.weight)
	return w.probeOffer(s, choice{probe: p, cause: -1, value: l.withProbe(&s.state, p) / total, swap: swap / total}), nil
}

// forget takes a probe's counting answer out of the belief, as if it had not been asked.
func (s *situation) forget(p int) {
	if k := s.answer[p]; k >= 0 {
		for c, l := range s.m.probes[p].like[k] {
			s.weight[c] /= l
		}
		normalise(s.weight)
	}
	s.answer[p] = open
}

// before says what keeps a probe from being asked.
func (s *situation) before(p int) string {
	pm := &s.m.probes[p]
	for _, a := range pm.after {
		if s.answer[a] == open {
			return fmt.Sprintf("%s comes first", s.m.probes[a].id)
		}
	}
	for _, n := range pm.notAfter {
		if k := s.answer[n.probe]; k >= 0 && n.answers&(1<<k) != 0 {
			return fmt.Sprintf("not after %s: %s", s.m.probes[n.probe].id, s.m.probes[n.probe].words[k])
		}
	}
	return "it is passed over"
}
