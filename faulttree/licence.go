package faulttree

import (
	"fmt"
	"slices"

	"example.org/tankhand/faulttree/knowledge"
)

const forElectrician = "For a licensed electrician: "

// licensed tells whether this technician may carry out a remedy.
func (w Walk) licensed(cause string) bool {
	c := w.env.base.Causes[cause]
	return !w.env.opt.NoMains || c == nil ||
		!slices.Contains(c.Hazards, "mains-dead") && !slices.Contains(c.Hazards, "mains-live") && !w.underLid(c)
}

// underLid tells whether a remedy is work in an enclosure where mains must be reckoned with: so it is where its own
// proof needs the lid off.
func (w Walk) underLid(c *knowledge.Cause) bool {
	p := w.env.base.Probes[c.Proof.Probe]
	return p != nil && slices.Contains(p.Needs, "lid") && minded(w.env.opt.Sheet)
}

// electricianOffer hands on to one who may open mains enclosures, and says what is left to do there.
func (w Walk) electricianOffer(s *situation, c choice) Offer {
	id := s.m.causes[c.cause]
	o := w.handOnOffer(s, c)
	o.Title = "Hand on to a licensed electrician: " + w.causeTitle(id)
	o.Why = fmt.Sprintf("%s stands at %s, and its remedy is work near mains", shortName(id), percent(s.weight[c.cause]))
	return o
}

// leftToElectrician is what one who may open mains enclosures should do: the measurement that tells most,
// then the remedies of the likely causes.
func (w Walk) leftToElectrician(s *situation) (out []string) {
	if !w.env.opt.NoMains {
		return nil
	}
	best, most := "", worthBits
	for p := range s.m.probes {
		id := s.m.probes[p].id
		if g := s.m.gain(s.weight, p); s.answer[p] == closed && w.env.barred[id] == forLicensed && g > most {
			best, most = id, g
		}
	}
	if best != "" {
		out = append(out, forElectrician+w.env.base.Probes[best].Ask)
	}
	for _, c := range byWeight(s.weight) {
		if id := s.m.causes[c]; s.weight[c] >= 0.10 && !w.licensed(id) {
			out = append(out, fmt.Sprintf("%s%s (%s)", forElectrician, w.env.base.Causes[id].Remedy, percent(s.weight[c])))
		}
	}
	return out
}
