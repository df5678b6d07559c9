package visit

import (
	"sort"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/livelevel/feed"
)

// Standing are the steps that were not undone.
func (v *Visit) Standing() []StepAt {
	var out []StepAt
	for _, s := range v.Steps {
		if !s.Undone {
			out = append(out, s)
		}
	}
	return out
}

// WalkSteps are the standing steps as the fault tree takes them, to take the walk up again.
func (v *Visit) WalkSteps() []faulttree.Step {
	var out []faulttree.Step
	for _, s := range v.Standing() {
		out = append(out, s.Step)
	}
	return out
}

func (v *Visit) acts(act faulttree.Act) []StepAt {
	var out []StepAt
	for _, s := range v.Standing() {
		if s.Act == act {
			out = append(out, s)
		}
	}
	return out
}

// Remedies are those that were done and not put back.
func (v *Visit) Remedies() []StepAt {
	back := map[string]int{}
	for _, s := range v.acts(faulttree.PutBack) {
		back[s.Cause]++
	}
	all := v.acts(faulttree.Remedied)
	var out []StepAt
	for i := len(all) - 1; i >= 0; i-- {
		if back[all[i].Cause] > 0 { // what was put back is the newest of its kind
			back[all[i].Cause]--
			continue
		}
		out = append([]StepAt{all[i]}, out...)
	}
	return out
}

// Proofs are the probes answered after a remedy.
func (v *Visit) Proofs() []StepAt { return v.acts(faulttree.ProofRun) }

// Parts are what the remedies that stayed used up, each once, in order.
func (v *Visit) Parts() []string {
	var out []string
	seen := map[string]bool{}
	for _, s := range v.Remedies() {
		for _, p := range s.Parts {
			if !seen[p] {
				seen[p] = true
				out = append(out, p)
			}
		}
	}
	return out
}

// Minutes are the technician's own, undone steps included: they were spent.
func (v *Visit) Minutes() float64 {
	sum := 0.0
	for _, s := range v.Steps {
		sum += s.StepBody.Minutes
	}
	return sum
}

// Invented tells that the data come from a practice rig, not from a real installation.
func (v *Visit) Invented() bool {
	for _, s := range v.Sources {
		if s.Invented {
			return true
		}
	}
	return false
}

// Captures are the raw captures that the visit cites, each file once with its longest prefix.
func (v *Visit) Captures() []feed.Citation {
	longest := map[string]feed.Citation{}
	keep := func(c *feed.Citation) {
		if c != nil && c.Path != "" && c.Length >= longest[c.Path].Length {
			longest[c.Path] = *c
		}
	}
	for i := range v.Readings {
		keep(v.Readings[i].Capture)
	}
	for i := range v.Sources {
		keep(v.Sources[i].Capture)
	}
	out := make([]feed.Citation, 0, len(longest))
	for _, c := range longest {
		out = append(out, c)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Path < out[j].Path })
	return out
}

// Summary is the visit's line in the list.
func (v *Visit) Summary() Summary {
	s := Summary{Number: v.Number, ID: v.ID, Begun: v.Begun, Last: v.Last, Site: v.Site, Asset: v.Asset,
		Complaint: v.Complaint.ID, Events: v.Events}
	if v.Closed {
		s.Outcome, s.Cause = v.Outcome.Outcome, v.Outcome.Cause
	}
	return s
}
