package faulttree

import (
	"slices"
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree/knowledge"
)

// Sighting is one complaint and whether the checks show it. All complaints are always listed.
type Sighting struct {
	Complaint string
	Seen      bool
	Because   []string      // checks
	TooShort  bool          // some rule needs a longer feed than there was
	Needs     time.Duration // the longest feed that such a rule needs
}

// Seen tells which complaints the findings show, and by which checks.
func Seen(base *knowledge.Base, findings []diagnostics.Finding) []Sighting {
	out := make([]Sighting, 0, len(base.Complaints))
	heard := span(findings)
	for _, c := range base.Complaints {
		s := Sighting{Complaint: c.ID}
		for _, rule := range c.Seen {
			holds, short := judge(rule, findings, heard)
			if holds && !slices.Contains(s.Because, rule.Check) {
				s.Because = append(s.Because, rule.Check)
			}
			s.Seen = s.Seen || holds
			if short {
				s.TooShort, s.Needs = true, max(s.Needs, rule.For)
			}
		}
		if s.Seen {
			s.TooShort, s.Needs = false, 0
		}
		out = append(out, s)
	}
	return out
}

// judge tells whether a rule holds, and if not, whether the feed was too short for it.
func judge(rule knowledge.Seen, findings []diagnostics.Finding, heard time.Duration) (holds, short bool) {
	i := slices.IndexFunc(findings, func(f diagnostics.Finding) bool { return f.Check == rule.Check })
	if i < 0 {
		return false, heard < rule.For
	}
	for _, g := range findings[i].Grades {
		if g.Aspect == rule.Aspect && slices.Contains(rule.Any, g.Word) {
			return g.Held >= rule.For, g.Held < rule.For
		}
	}
	return false, heard < rule.For
}

// span is how long the feed has been heard, by the widest evidence of any check.
func span(findings []diagnostics.Finding) (d time.Duration) {
	for _, f := range findings {
		d = max(d, f.Evidence.To.Sub(f.Evidence.From))
	}
	return d
}
