package plain

import (
	"fmt"
	"io"
	"strings"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
)

// tellEvidence tells what the feed says beside what it said before.
func (w *Walk) tellEvidence() {
	if w.fed == nil {
		w.fed = map[string]bool{}
	}
	for _, t := range w.snap.Walk.Path {
		said := t.Title
		if t.Step.Act != faulttree.Evidence || w.fed[said] {
			continue
		}
		w.fed[said] = true
		fmt.Fprintf(w.Out, "  %c from the feed: %s\n", t.Mark, t.Title)
	}
}

// tell writes the offered step with its reason, cautions and the suspects so far.
func tell(out io.Writer, v *visit.WalkView) {
	o := &v.Offer
	fmt.Fprintln(out)
	for i, s := range v.Suspects {
		if i == 3 {
			break
		}
		fmt.Fprintf(out, "  %3.0f %%  %s\n", 100*s.Probability, title(s))
	}
	if v.Odd != nil {
		fmt.Fprintf(out, "  ? %s%s\n", v.Odd, again(v.Odd))
	}
	switch {
	case o.Remedy != nil:
		fmt.Fprintf(out, "> remedy, %.0f min: %s\n", o.Minutes, o.Title)
	case o.Proof:
		fmt.Fprintf(out, "> proof, %.0f min: %s (wanted: %s)\n", o.Minutes, o.Title, o.Want)
	case o.Probe != nil:
		fmt.Fprintf(out, "> %s, %.0f min: %s\n", o.Probe.Kind, o.Minutes, o.Title)
	default:
		fmt.Fprintf(out, "> %s\n", o.Title)
	}
	for _, first := range o.First {
		fmt.Fprintf(out, "  first: %s\n", first)
	}
	if o.Why != "" {
		fmt.Fprintf(out, "  why: %s\n", o.Why)
	}
	if o.Good != "" {
		fmt.Fprintf(out, "  good: %s\n", o.Good)
	}
	if len(o.Have) > 0 {
		fmt.Fprintf(out, "  have in hand: %s\n", strings.Join(o.Have, ", "))
	}
	if len(o.Missing) > 0 {
		fmt.Fprintf(out, "  pick the answer by its word; for limits the site sheet lacks %s\n", strings.Join(o.Missing, ", "))
	}
	for _, c := range o.Cautions {
		fmt.Fprintf(out, "  CAUTION %s: %s\n", c.Hazard, c.Text)
	}
	if o.Probe != nil && o.Probe.Drawing != "" {
		fmt.Fprintln(out, o.Probe.Drawing)
	}
	for _, then := range o.Then {
		fmt.Fprintf(out, "  afterwards: %s\n", then)
	}
	if v.Better != "" && o.Further == "" {
		fmt.Fprintf(out, "  b takes a better step: %s\n", v.Better)
	}
}

// again is how an odd answer is asked again here.
func again(o *faulttree.Odd) string {
	if o.Feed {
		return ""
	}
	return ": a " + o.Probe
}

func title(s faulttree.Suspect) string {
	if s.Title != "" {
		return s.Title
	}
	return s.Cause
}
