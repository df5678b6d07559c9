package draw

import (
	"fmt"
	"strings"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/tui/theme"
)

// Instruction is the offered step without its answers: what to do, how long, what to have in hand,
// what counts as good, why.
func Instruction(o faulttree.Offer, w int) Block {
	out := Block{stepHead(o, w)}
	for _, first := range o.First {
		out = append(out, Wrap(theme.Strong, "First: "+first, w-2).Indent(1)...)
	}
	out = append(out, Wrap(theme.Plain, instruction(o), w-2).Indent(1)...)
	if o.Probe != nil && o.Probe.Drawing != "" {
		for _, l := range strings.Split(strings.TrimRight(o.Probe.Drawing, "\n"), "\n") {
			out = append(out, Of(theme.Dim, "   "+l).Cut(w))
		}
	}
	if len(o.Have) > 0 {
		out = append(out, Line{Say(theme.Dim, " Have in hand: "), Say(theme.Plain, strings.Join(o.Have, ", "))}.Cut(w))
	}
	for _, then := range o.Then {
		out = append(out, Wrap(theme.Plain, "Afterwards: "+then, w-2).Indent(1)...)
	}
	if o.Good != "" {
		out = append(out, Line{Say(theme.Good, " + Good: "), Say(theme.Plain, o.Good)}.Cut(w))
	}
	return out
}

func stepHead(o faulttree.Offer, w int) Line {
	head := "Do this"
	switch {
	case o.Proof:
		head = "Prove the cure"
	case o.Remedy != nil:
		head = "Mend"
	case o.HandOn:
		head = "Hand on"
	case o.Done:
		head = "Mended"
	}
	l := Of(theme.Strong, " "+head)
	if o.Minutes >= 0.5 {
		l = append(l, Say(theme.Plain, fmt.Sprintf("   %.0f min", o.Minutes)))
	}
	if o.Probe != nil {
		l = append(l, Say(theme.Dim, "   "+kindWords[o.Probe.Kind]))
	}
	return l.Cut(w)
}

var kindWords = map[string]string{"watch": "watch the feed", "prompted": "do it, the feed answers",
	"measured": "measure", "looked": "look"}

func instruction(o faulttree.Offer) string {
	switch {
	case o.Probe != nil:
		return o.Probe.Ask
	case o.Remedy != nil:
		return OfferTitle(o)
	}
	return OfferTitle(o)
}

// WhyShort is the reason of the step, with the minutes it saves, in at most two rows.
func WhyShort(o faulttree.Offer, w int) Block {
	text := strings.TrimSpace(o.Why)
	if text == "" {
		return nil
	}
	return Wrap(theme.Dim, "Why: "+text, w-2).Indent(1).Shorten(2)
}

// Cautions must be read and acknowledged before the step's answers are enabled.
func Cautions(list []faulttree.Caution, w int) Block {
	var out Block
	for _, c := range list {
		head := Line{pad(1), Say(theme.Alarm, " CAUTION "), Say(theme.Bad, " ! "+words(c.Hazard))}
		out = append(out, head.Cut(w))
		out = append(out, Wrap(theme.Plain, c.Text, w-4).Indent(3)...)
	}
	return out
}

// Answers lists the answers with the digit of each, the marked one with ">"; proposed is the
// answer that the feed suggests, want the one that proves a cure. Where there are fewer than one row
// an answer, they stand one behind the other. With branches each row also says where it leads.
func Answers(list []string, marked int, proposed, want string, branches []faulttree.Branch, w, h int) Block {
	var out Block
	if len(list) > h {
		return run(list, marked, proposed, want, w)
	}
	wide := 0
	for _, a := range list {
		wide = max(wide, Plain(a).Width())
	}
	for i, a := range list {
		at := pad(1)
		if i == marked {
			at = Span{">", theme.Here}
		}
		l := Line{at, Say(theme.Key, fmt.Sprintf(" %d ", i+1)), Say(theme.Plain, a)}
		if a == proposed && proposed != "" {
			l = append(l, Say(theme.Here, "   < the feed says this"))
		}
		if a == want && want != "" {
			l = append(l, Say(theme.Good, "   + proves it"))
		}
		if to := leads(branches, a); to != "" && a != proposed && a != want {
			l = append(l, pad(wide-Plain(a).Width()), Say(theme.Dim, " → "+to))
		}
		out = append(out, l.Cut(w))
	}
	return out
}

// leads says where an answer leads.
func leads(branches []faulttree.Branch, answer string) string {
	for _, b := range branches {
		if b.Answer == answer {
			return strings.Join(b.Leads, ", ")
		}
	}
	return ""
}

// run sets the answers one behind the other.
func run(list []string, marked int, proposed, want string, w int) Block {
	var out Block
	var row Line
	for i, a := range list {
		at := pad(1)
		switch {
		case i == marked, marked < 0 && a == proposed && proposed != "":
			at = Span{">", theme.Here}
		case a == want && want != "":
			at = Span{"+", theme.Good}
		}
		one := Line{at, Say(theme.Key, fmt.Sprintf("%d ", i+1)), Say(theme.Plain, a+" ")}
		if len(row) > 0 && row.Width()+one.Width() > w {
			out, row = append(out, row.Cut(w)), nil
		}
		row = append(row, one...)
	}
	return append(out, row.Cut(w))
}
