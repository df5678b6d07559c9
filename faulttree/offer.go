package faulttree

import (
	"fmt"
	"slices"
	"strings"

	"example.org/tankhand/faulttree/knowledge"
)

// Next is the step the walk offers.
func (w Walk) Next() Offer {
	if w.env == nil {
		return Offer{}
	}
	s := w.situate()
	switch {
	case s.over:
		return Offer{Done: s.done, HandOn: !s.done, Cured: s.repair, Proven: s.proven, Title: "The walk is closed"}
	case s.proof != nil:
		return w.proofOffer(s)
	case s.done:
		return w.doneOffer(s)
	}
	return w.openEnd(w.firstThings(w.offerOf(s, s.m.next(&s.state))))
}

func (w Walk) offerOf(s *situation, c choice) Offer {
	switch {
	case c.probe >= 0:
		return w.probeOffer(s, c)
	case c.cause >= 0 && !w.licensed(s.m.causes[c.cause]):
		return w.electricianOffer(s, c)
	case c.cause >= 0:
		return w.remedyOffer(s, c)
	}
	return w.handOnOffer(s, c)
}

// firstThings puts what must be done before anything else in front, until the technician has taken a
// step.
func (w Walk) firstThings(o Offer) Offer {
	taken := slices.ContainsFunc(w.steps, func(s Step) bool { return s.Act != Evidence })
	if w.Complaint.First != "" && !taken {
		o.Cautions = append([]Caution{{"first", w.Complaint.First}}, o.Cautions...)
	}
	return o
}

func (w Walk) probeOffer(s *situation, c choice) Offer {
	p := w.env.base.Probes[s.m.probes[c.probe].id]
	o := w.asked(p)
	o.Minutes = s.m.minutes(&s.state, c.probe)
	o.With, o.Swap = c.value, c.swap
	o.Why = w.whyProbe(s, c)
	o.Branches = w.branches(s, c.probe)
	return o
}

// asked is a probe as an offer, without the reasons.
func (w Walk) asked(p *knowledge.Probe) Offer {
	o := Offer{Probe: p, Title: p.Ask, Minutes: p.Minutes, Cautions: probeCautions(p, w.env.opt.Sheet), Have: have(p.Needs)}
	o.Limits, o.Good, o.Missing = w.limits(p)
	return o
}

func (w Walk) proofOffer(s *situation) Offer {
	due, _ := s.proof.next()
	o := w.asked(w.env.base.Probes[due.Probe])
	o.Proof, o.Cured, o.Want = true, s.proof.cause, due.Want
	if o.Probe.Kind == "watch" && w.env.opt.NoFeed {
		o.Title += " (no feed: look at the display)"
	}
	o.Why = fmt.Sprintf("proves the repair: %q must come up; let it last two pump cycles or the hours in which the trouble came", due.Want)
	for _, a := range o.Probe.Answers {
		lead := "not cured by this"
		if a == due.Want {
			lead = "mended"
		}
		o.Branches = append(o.Branches, Branch{Answer: a, Leads: []string{lead}})
	}
	return o
}

func (w Walk) doneOffer(s *situation) Offer {
	o := Offer{Done: true, Cured: s.repair, Proven: s.proven, Title: "Mended and proven: " + w.causeTitle(s.repair)}
	o.Why = "its own proof and the complaint's proof both passed"
	if !s.proven {
		o.Title = "Mended, not proven: " + w.causeTitle(s.repair)
		o.Why = "a proof was passed over; leave the feed recording and look again"
	}
	c := w.env.base.Causes[s.repair]
	_, o.Then = w.also(c)
	for _, b := range c.Because {
		o.Then = append(o.Then, "What killed it? Look for: "+w.causeTitle(b))
	}
	if s.proven && len(c.Because) > 0 {
		o.Further = "find out what killed the part, so that the new one lives"
	}
	return o
}

// also splits what goes with a cure into what comes before the new part runs and what after.
func (w Walk) also(c *knowledge.Cause) (first, then []string) {
	for _, a := range c.Also {
		text := a.Note
		if p := w.env.base.Probes[a.Probe]; p != nil {
			text = p.Ask
		}
		if a.Before {
			first = append(first, text)
		} else {
			then = append(then, text)
		}
	}
	return first, then
}

func (w Walk) remedyOffer(s *situation, ch choice) Offer {
	o := w.RemedyOf(s.m.causes[ch.cause])
	o.With, o.Swap = ch.value, ch.swap
	o.Why = fmt.Sprintf("%s stands at %s; %.0f min expected from here", shortName(o.Remedy.ID), percent(s.weight[ch.cause]), ch.value)
	if s.weight[ch.cause] < actAt {
		o.Why += ", and no further question is worth its time"
		if s.m.quick[ch.cause] {
			o.Why = fmt.Sprintf("%s stands at %s; quick and harmless, so try it", shortName(o.Remedy.ID), percent(s.weight[ch.cause]))
		}
	}
	if !s.shown(w, ch.cause) {
		o.Why += "; no answer shows it: an installation in good order answers just so"
	}
	return o
}

// WhatIf is the remedy of any cause as an offer, though the walk would not offer it: what it would come to.
func (w Walk) WhatIf(cause string) Offer {
	o := w.RemedyOf(cause)
	if o.Remedy == nil {
		return o
	}
	o.Why = "chosen by the technician"
	s := w.situate()
	c, listed := s.m.place[cause]
	if !listed || c >= len(s.tried) || s.over || s.done || s.proof != nil {
		return o
	}
	best := s.m.next(&s.state)
	o.With, o.Swap = newLooker(s.m).withRemedy(&s.state, c), best.swap
	o.Why += fmt.Sprintf(": %s stands at %s; %.0f min expected with it, %.0f with the step that the walk offers", shortName(cause),
		percent(s.weight[c]), o.With, best.value)
	return o
}

// RemedyOf is the remedy of any cause as an offer.
func (w Walk) RemedyOf(cause string) Offer {
	c := w.env.base.Causes[cause]
	if c == nil {
		return Offer{}
	}
	o := Offer{Remedy: c, Title: c.Remedy, Minutes: c.Minutes, Cautions: hazardCautions(c.Hazards), Have: slices.Clone(c.Parts)}
	if w.underLid(c) && !slices.Contains(c.Hazards, "mains-dead") {
		o.Cautions = append([]Caution{{"mains-dead", hazardTexts["lid"]}}, o.Cautions...)
	}
	o.First, o.Then = w.also(c)
	if !w.licensed(cause) {
		o.Title = forElectrician + o.Title
	}
	return o
}

func (w Walk) handOnOffer(s *situation, c choice) Offer {
	o := Offer{HandOn: true, Title: "Hand on to the second line, with the record", With: c.value, Swap: c.swap}
	top := w.leaders(s.weight, 3)
	o.Why = fmt.Sprintf("nothing left is worth its time; the suspects are %s", strings.Join(top, ", "))
	if u := s.weight[len(s.weight)-1]; u >= unlistedLead {
		o.Why = fmt.Sprintf("something not listed here stands at %s, that is no diagnosis; hand on what was excluded", percent(u))
	}
	if s.nothingShown(w) {
		o.Why = "nothing was found that an installation in good order would not show; it may come and go: leave the feed recording over the hours in which it came"
	}
	o.Then = w.leftToElectrician(s)
	if p, why := w.mostWanted(s); p != "" {
		o.Why += fmt.Sprintf("; most would come from %q (%s)", p, why)
	}
	return o
}

const unlistedLead = 0.30 // from here on the walk says that the list may not hold the cause

// mostWanted is the passed-over or barred probe that would tell most.
func (w Walk) mostWanted(s *situation) (ask, why string) {
	best := worthBits
	for p := range s.m.probes {
		if s.answer[p] != closed {
			continue
		}
		if g := s.m.gain(s.weight, p); g > best {
			id := s.m.probes[p].id
			best, ask, why = g, w.env.base.Probes[id].Ask, "skipped"
			if b := w.env.barred[id]; b != "" {
				why = b
			}
		}
	}
	return ask, why
}

// branches say where each answer would lead.
func (w Walk) branches(s *situation, p int) (out []Branch) {
	chances := s.m.chances(s.weight, p)
	for a, like := range s.m.probes[p].like {
		after := make([]float64, len(s.weight))
		for c := range after {
			after[c] = s.weight[c] * like[c]
		}
		normalise(after)
		out = append(out, Branch{Answer: s.m.probes[p].words[a], Probability: chances[a], Leads: w.leaders(after, 2)})
	}
	return out
}

// leaders are the short names of the most likely causes; the small ones are left out.
func (w Walk) leaders(weight []float64, n int) (out []string) {
	for _, c := range byWeight(weight) {
		if len(out) == n || len(out) > 0 && weight[c] < 0.10 {
			break
		}
		out = append(out, shortName(w.env.m.causes[c]))
	}
	return out
}

// whyProbe says in one sentence what the probe is for.
func (w Walk) whyProbe(s *situation, c choice) string {
	m := s.m
	numbers := fmt.Sprintf("%.0f min expected with it, %.0f if you start swapping", c.value, c.swap)
	if c.value > c.swap-0.5 {
		numbers = fmt.Sprintf("no suspect is sure enough for a repair, and it tells %.1f bit in %.0f min", m.gain(s.weight, c.probe), m.minutes(&s.state, c.probe))
	}
	a, b := s.parted(c.probe)
	if b < 0 {
		return fmt.Sprintf("speaks for or against %s; %s", shortName(m.causes[a]), numbers)
	}
	return fmt.Sprintf("parts %s from %s; %s", shortName(m.causes[a]), shortName(m.causes[b]), numbers)
}

// shortName is a cause in two or three words, from its id.
func shortName(cause string) string {
	if cause == Unlisted {
		return "something unlisted"
	}
	return strings.ReplaceAll(cause, "-", " ")
}

// parted are the two likely causes that a probe tells apart best, the likelier first.
func (s *situation) parted(p int) (a, b int) {
	order, best := byWeight(s.weight), 0.0
	a, b = order[0], -1
	for i, x := range order {
		for _, y := range order[i+1:] {
			if worth := min(s.weight[x], s.weight[y]) * s.apart(p, x, y); worth > best {
				a, b, best = x, y, worth
			}
		}
	}
	return a, b
}

// apart is how differently two causes answer a probe: 0 the same, 1 never alike.
func (s *situation) apart(p, x, y int) float64 {
	d := 0.0
	for _, like := range s.m.probes[p].like {
		d += max(like[x]-like[y], like[y]-like[x]) / 2
	}
	return d
}

// byWeight orders causes by falling weight.
func byWeight(weight []float64) []int {
	order := make([]int, len(weight))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case weight[a] > weight[b]:
			return -1
		case weight[a] < weight[b]:
			return 1
		}
		return 0
	})
	return order
}

func percent(p float64) string { return fmt.Sprintf("%.0f %%", 100*p) }

// Key names what an offer is of: two offers of one step have the same, whatever stands around them.
func (o *Offer) Key() string {
	switch {
	case o.Probe != nil && o.Proof:
		return "proof " + o.Probe.ID
	case o.Probe != nil:
		return "probe " + o.Probe.ID
	case o.Remedy != nil:
		return "remedy " + o.Remedy.ID
	case o.HandOn:
		return "hand on"
	case o.Done:
		return "done"
	}
	return ""
}
