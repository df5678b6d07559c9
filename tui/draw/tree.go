package draw

import (
	"fmt"
	"slices"
	"strings"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/tui/theme"
)

// deepest is the level of the tree from which on it no longer moves to the right.
const deepest = 5

// Tree draws the path taken, where it stands, and where each answer would lead, in at most h rows.
// When there is not room for all, the oldest lines of the path are folded into one, then the
// branches go.
func Tree(path []faulttree.Taken, offer faulttree.Offer, w, h int) Block {
	path = once(path)
	here := hereAndBranches(offer, depth(len(path)), w)
	if len(here) > h-min(1, len(path)) {
		here = here[:max(0, min(len(here), h-min(2, len(path))))]
	}
	room := h - len(here)
	var out Block
	shown, gone := fold(path, room)
	if len(gone) > 0 && room > 0 {
		out = append(out, folded(gone, w))
	}
	for i, t := range shown {
		out = append(out, takenLine(t, depth(len(gone)+i), w))
	}
	return append(out, here...).atMost(w, h)
}

// once leaves out a line of the feed that says the same as an earlier one: one check may answer two probes.
func once(path []faulttree.Taken) []faulttree.Taken {
	out := make([]faulttree.Taken, 0, len(path))
	for _, t := range path {
		same := func(o faulttree.Taken) bool { return o.Title == t.Title && o.Mark == t.Mark && o.Stale == t.Stale }
		if t.From == "from the feed" && slices.ContainsFunc(out, same) {
			continue
		}
		out = append(out, t)
	}
	return out
}

// fold keeps what there is room for, below a line for the rest: what the feed showed to be in order goes
// first, then the oldest.
func fold(path []faulttree.Taken, room int) (shown, gone []faulttree.Taken) {
	if len(path) <= room {
		return path, nil
	}
	drop := len(path) - max(0, room-1)
	out := make([]bool, len(path))
	for _, pass := range []func(faulttree.Taken) bool{dull, func(faulttree.Taken) bool { return true }} {
		for i := range path {
			if drop > 0 && !out[i] && pass(path[i]) {
				out[i], drop = true, drop-1
			}
		}
	}
	for i, t := range path {
		if out[i] {
			gone = append(gone, t)
		} else {
			shown = append(shown, t)
		}
	}
	return shown, gone
}

// dull tells whether a line only says that the feed was in order there.
func dull(t faulttree.Taken) bool { return t.Mark == theme.MarkGood && t.From == "from the feed" }

// folded stands for the lines that there is no room for; the last of them that is bad stays readable.
func folded(gone []faulttree.Taken, w int) Line {
	what := "in order"
	for i := len(gone) - 1; i >= 0; i-- {
		t := gone[i]
		if !dull(t) {
			what = "earlier"
		}
		if t.Mark == theme.MarkBad && !t.Stale {
			l := Line{Say(theme.Dim, fmt.Sprintf(" … %d earlier  ", len(gone))), Mark(theme.MarkBad), Say(theme.Plain, " ")}
			return append(l, keepEnd(theme.Plain, t.Title, w-l.Width())...).Cut(w)
		}
	}
	return Of(theme.Dim, fmt.Sprintf(" … %d %s", len(gone), what))
}

func depth(n int) int { return min(n, deepest) }

func takenLine(t faulttree.Taken, d, w int) Line {
	ink, from := theme.Plain, t.From
	if t.Stale {
		ink, from = theme.Dim, "before the cure"
	}
	l := append(branchAt(d), Mark(t.Mark), Say(theme.Plain, " "))
	room := w - l.Width() - Plain(from).Width() - 1
	return Ends(append(l, keepEnd(ink, t.Title, room)...), Of(theme.Dim, from), w)
}

// keepEnd cuts a title before its last ": ", as what came out stands behind it.
func keepEnd(ink theme.Ink, title string, w int) Line {
	i := strings.LastIndex(title, ": ")
	if l := Of(ink, title); l.Width() <= w || i < 0 {
		return l
	}
	end := Of(ink, title[i:])
	if end.Width() > w-8 {
		return Of(ink, title)
	}
	return append(Of(ink, title[:i]).Cut(w-end.Width()), end...)
}

func branchAt(d int) Line {
	if d == 0 {
		return Line{Say(theme.Plain, " ")}
	}
	return Line{{repeat("  ", d-1) + " └ ", theme.Frame}}
}

// Mark is one of the marks in its ink: + good, ! bad, ? cannot tell, > here.
func Mark(r rune) Span {
	switch r {
	case theme.MarkGood:
		return Span{"+", theme.Good}
	case theme.MarkBad:
		return Span{"!", theme.Bad}
	case theme.MarkHere:
		return Span{">", theme.Here}
	}
	return Span{"?", theme.Unknown}
}

func hereAndBranches(o faulttree.Offer, d, w int) Block {
	title := OfferTitle(o)
	if title == "" {
		return nil
	}
	out := Block{append(branchAt(d), Mark(theme.MarkHere), Say(theme.Here, " "+title)).Cut(w)}
	wide := 0
	for _, b := range o.Branches {
		wide = max(wide, cells(Safe(b.Answer)))
	}
	wide = min(wide, w/3)
	for i, b := range o.Branches {
		tee := "├ "
		if i == len(o.Branches)-1 {
			tee = "└ "
		}
		l := Line{{repeat("  ", d) + "   " + tee, theme.Frame}}
		l = append(l, Of(theme.Plain, b.Answer).Fit(wide)...)
		if len(b.Leads) > 0 {
			l = append(l, Say(theme.Dim, " → "+strings.Join(b.Leads, ", ")))
		}
		out = append(out, l.Cut(w))
	}
	return out
}

// OfferTitle is the offered step in one line.
func OfferTitle(o faulttree.Offer) string {
	switch {
	case o.Title != "":
		return o.Title
	case o.Probe != nil:
		return o.Probe.Ask
	case o.Remedy != nil:
		return o.Remedy.Remedy
	case o.HandOn:
		return "hand on: no further step is worth its time here"
	case o.Done:
		return "cured and proven"
	}
	return ""
}

func (b Block) atMost(w, h int) Block {
	if len(b) > h {
		b = b[:max(0, h)]
	}
	for i := range b {
		b[i] = b[i].Cut(w)
	}
	return b
}
