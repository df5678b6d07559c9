package faulttree

import (
	"fmt"
	"slices"
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/site"
)

// Options of a walk.
type Options struct {
	Sheet  *site.Sheet        // limits of measured probes, lid and mains
	Priors map[string]float64 // learned, by cause; nil: the shipped ones
	// NoFeed: watch and feed-prompted probes are not to be had.
	NoFeed bool
	// NoMains: this technician may not open mains enclosures; steps in them are not offered.
	NoMains bool
	// Where the technician is; "" is everywhere.
	Where Where
	// ByHand lists probes of the feed that somebody can answer by hand, as from the controller's display: those that
	// the tool reads by itself, which are never offered else, and those that need a feed where there is none.
	ByHand []string
}

// Where a technician stands limits what can be asked of them.
type Where string

// The places. Remote leaves the feed and what a person on site can see or tell.
const (
	AtTank  Where = "at-the-tank"
	AtBoard Where = "at-the-board"
	Remote  Where = "remote"
)

// Walk is a value: Apply returns the next walk and leaves this one as it was.
type Walk struct {
	Complaint *knowledge.Complaint
	steps     []Step
	env       *surroundings
	after     *Walk // a follow-up: the walk that ended in the proven cure
	given     int   // how many of the steps were taken over from it
}

// surroundings are what every walk of one start shares; nobody changes them.
type surroundings struct {
	base   *knowledge.Base
	opt    Options
	m      *model
	barred map[string]string // probes never offered here, and why
}

// Start begins a walk from a complaint.
func Start(base *knowledge.Base, complaint string, opt Options) (Walk, error) {
	i := slices.IndexFunc(base.Complaints, func(c *knowledge.Complaint) bool { return c.ID == complaint })
	if i < 0 {
		return Walk{}, fmt.Errorf("faulttree: starting a walk: no complaint %q; there are %s", complaint, complaintIDs(base))
	}
	c := base.Complaints[i]
	return Walk{Complaint: c, env: &surroundings{base: base, opt: opt, m: compile(base, c, opt), barred: barredProbes(base, c, opt)}}, nil
}

func complaintIDs(base *knowledge.Base) (ids []string) {
	for _, c := range base.Complaints {
		ids = append(ids, c.ID)
	}
	return ids
}

// barredProbes lists the probes that the options leave out, and why.
func barredProbes(base *knowledge.Base, c *knowledge.Complaint, opt Options) map[string]string {
	out := map[string]string{}
	for _, id := range c.Probes {
		if why := whyBarred(base.Probes[id], opt); why != "" {
			out[id] = why
		}
	}
	return out
}

// notTold bars the watch probes from being offered; a printed tree asks them all the same.
const notTold = "the feed does not tell yet"

// noFeed bars what needs one.
const noFeed = "no feed"

// forLicensed bars what this technician may not open.
const forLicensed = "for a licensed electrician"

func whyBarred(p *knowledge.Probe, opt Options) string {
	hazards := hazardsOf(p, opt.Sheet)
	switch {
	case opt.NoFeed && (slices.Contains(p.Needs, "feed") || p.Kind == "watch") && !slices.Contains(opt.ByHand, p.ID):
		return noFeed
	case p.Kind == "watch" && !slices.Contains(opt.ByHand, p.ID):
		return notTold
	case opt.NoMains && (slices.Contains(hazards, "mains-dead") || slices.Contains(hazards, "mains-live")):
		return forLicensed
	case opt.Where == Remote && p.Kind != "watch" && (p.Kind == "measured" || p.Kind == "prompted" && p.Trial == "" || len(hands(p)) > 0):
		return "not from afar"
	case opt.Where == AtTank && slices.Contains(p.Needs, "lid"), opt.Where == AtBoard && slices.Contains(p.Needs, "top"):
		return "not from here"
	}
	return ""
}

// hands are the needs that ask for hands on site.
func hands(p *knowledge.Probe) (out []string) {
	for _, n := range p.Needs {
		if n != "feed" {
			out = append(out, n)
		}
	}
	return out
}

// Apply takes one step and returns the next walk.
func (w Walk) Apply(s Step) (Walk, error) {
	if w.env == nil {
		return w, fmt.Errorf("faulttree: a walk needs a complaint first")
	}
	if err := w.check(s); err != nil {
		return w, err
	}
	if s.Act == FollowedUp {
		next, ok := w.FollowUp()
		if !ok {
			return w, fmt.Errorf("faulttree: asking what did the damage: no cure of damage is proven here")
		}
		return next, nil
	}
	w.steps = append(slices.Clip(w.steps), s)
	return w, nil
}

// Undo drops the last step of the technician (evidence of the feed stays); ok is false when there is none.
func (w Walk) Undo() (next Walk, ok bool) {
	for i := len(w.steps) - 1; i >= w.given; i-- {
		if w.steps[i].Act != Evidence {
			next = w
			next.steps = slices.Delete(slices.Clone(w.steps), i, i+1)
			return next, true
		}
	}
	if w.after != nil {
		return *w.after, true
	}
	return w, false
}

// Steps are all steps so far, those before a follow-up included.
func (w Walk) Steps() (out []Step) {
	if w.after != nil {
		out = append(w.after.Steps(), Step{Act: FollowedUp, Cause: w.damage()})
	}
	return append(out, w.steps[w.given:]...)
}

// Main is the walk from the complaint to the cure; a follow-up is left out.
func (w Walk) Main() Walk {
	for w.after != nil {
		w = *w.after
	}
	return w
}

// Grades turns the findings of the checks into the answers of this complaint's watch probes; what
// cannot be told is left out.
func (w Walk) Grades(findings []diagnostics.Finding) map[string]string {
	out := map[string]string{}
	if w.env == nil || w.env.opt.NoFeed {
		return out
	}
	for _, id := range w.Complaint.Probes {
		p := w.env.base.Probes[id]
		if f := findingOf(findings, p); f != nil {
			if word := f.Grade(p.Aspect); slices.Contains(p.Answers, word) {
				out[id] = word
			}
		}
	}
	return out
}

// GradeOf is the answer that the feed gives to a watch probe, on this complaint's list or not: for
// proofs. ok is false while it cannot be told.
func (w Walk) GradeOf(probe string, findings []diagnostics.Finding) (answer string, ok bool) {
	if w.env == nil || w.env.base.Probes[probe] == nil {
		return "", false
	}
	p := w.env.base.Probes[probe]
	f := findingOf(findings, p)
	if f == nil {
		return "", false
	}
	word := f.Grade(p.Aspect)
	return word, slices.Contains(p.Answers, word)
}

func findingOf(findings []diagnostics.Finding, p *knowledge.Probe) *diagnostics.Finding {
	if p.Check == "" {
		return nil
	}
	i := slices.IndexFunc(findings, func(f diagnostics.Finding) bool { return f.Check == p.Check })
	if i < 0 {
		return nil
	}
	return &findings[i]
}

// Window is how long the feed must have run before a watch probe answers.
func (w Walk) Window(probe string) time.Duration {
	if p := w.env.base.Probes[probe]; p != nil {
		return p.Window
	}
	return 0
}

// EvidenceOf is the step that enters what the feed tells now, with the checks' own words beside it.
func (w Walk) EvidenceOf(findings []diagnostics.Finding) Step {
	s := Step{Act: Evidence, Grades: w.Grades(findings)}
	for id := range s.Grades {
		if f := findingOf(findings, w.env.base.Probes[id]); f != nil && f.Why != "" {
			if s.Notes == nil {
				s.Notes = map[string]string{}
			}
			s.Notes[id] = f.Why
		}
	}
	return s
}

// Fed are the answers of the feed that count now, by probe; what a cure has made stale is none of them.
func (w Walk) Fed() map[string]string {
	fed := map[string]string{}
	if w.env == nil {
		return fed
	}
	s := w.situate()
	for p, k := range s.answer {
		if k >= 0 && w.steps[s.from[p]].Act == Evidence {
			fed[s.m.probes[p].id] = s.m.probes[p].words[k]
		}
	}
	return fed
}
