package faulttree

import (
	"slices"
	"strings"

	"example.org/tankhand/faulttree/knowledge"
)

// wornOut is the share of damage that has no cause but age and wear; it stands as Unlisted.
const wornOut = 0.30

// FollowUp asks, after a proven cure of damage, what did the damage: a walk among the causes that can,
// with their weights from the complaint (else even shares) and the answers that still count. ok is
// false where there is nothing to ask.
func (w Walk) FollowUp() (next Walk, ok bool) {
	if w.env == nil {
		return Walk{}, false
	}
	s := w.situate()
	cause := w.env.base.Causes[s.repair]
	if !s.done || !s.proven || cause == nil || len(cause.Because) == 0 {
		return Walk{}, false
	}
	c := w.because(cause)
	next = Walk{Complaint: c, env: &surroundings{base: w.env.base, opt: w.env.opt, barred: barredProbes(w.env.base, c, w.env.opt)}}
	opt := w.env.opt
	opt.Priors = nil
	next.env.m = compile(w.env.base, c, opt)
	next.steps = w.stillTrue(s)
	next.after, next.given = &w, len(next.steps)
	return next, true
}

// damage is the cause whose damage a follow-up asks about.
func (w Walk) damage() string { return w.after.situate().repair }

// openEnd turns the end of a follow-up that found nothing into the end of the visit: the part is mended
// and proven all the same.
func (w Walk) openEnd(o Offer) Offer {
	if w.after == nil || !o.HandOn {
		return o
	}
	return Offer{Done: true, Proven: true, Cured: w.damage(), Title: "Mended and proven; what killed the part stays open",
		Why:  "nothing more would tell: " + strings.Join(w.leaders(w.situate().weight, 3), ", ") + "; age and wear are the rest",
		Then: []string{"Write it on the record and look at it at the next visit."}}
}

// because is the complaint of a follow-up: the same words, other suspects.
func (w Walk) because(cause *knowledge.Cause) *knowledge.Complaint {
	c := *w.Complaint
	c.Title, c.First = "What killed it: "+cause.Title, ""
	c.Causes, c.Unlisted, c.Priors, c.Probes = cause.Because, wornOut, map[string]float64{}, nil
	total := 0.0
	for _, id := range c.Causes {
		c.Priors[id] = max(w.Complaint.Priors[id], 0.01)
		total += c.Priors[id]
	}
	for _, id := range c.Causes {
		c.Priors[id] *= (1 - wornOut) / total
	}
	for id, p := range w.env.base.Probes {
		if speaksOf(p, w.Complaint, c.Causes) {
			c.Probes = append(c.Probes, id)
		}
	}
	slices.Sort(c.Probes)
	return &c
}

// speaksOf tells whether a probe has a row for one of the causes.
func speaksOf(p *knowledge.Probe, c *knowledge.Complaint, causes []string) bool {
	return slices.ContainsFunc(causes, func(id string) bool { return p.Rows[id] != nil || c.Rows[p.ID][id] != nil })
}

// stillTrue are the answers that counted to the end, as steps.
func (w Walk) stillTrue(s *situation) (steps []Step) {
	for p, k := range s.answer {
		if k < 0 {
			continue
		}
		from := w.steps[s.from[p]]
		id, word := s.m.probes[p].id, s.m.probes[p].words[k]
		if from.Act == Evidence {
			steps = append(steps, Step{Act: Evidence, Grades: map[string]string{id: word}})
		} else {
			steps = append(steps, Step{Act: Answered, Probe: id, Answer: word, Value: from.Value})
		}
	}
	return steps
}
