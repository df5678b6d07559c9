package draw

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/tui/theme"
)

// Worst sorts findings for reading: failed, cannot tell, passed; otherwise as they come.
func Worst(list []diagnostics.Finding) []diagnostics.Finding {
	out := slices.Clone(list)
	slices.SortStableFunc(out, func(a, b diagnostics.Finding) int { return cmp.Compare(rank(a), rank(b)) })
	return out
}

func rank(f diagnostics.Finding) int {
	switch f.Verdict {
	case diagnostics.Fail:
		return 0
	case diagnostics.CannotTell:
		return 1
	}
	return 2
}

// VerdictMark is the mark of a verdict.
func VerdictMark(v diagnostics.Verdict) rune {
	switch v {
	case diagnostics.Pass:
		return theme.MarkGood
	case diagnostics.Fail:
		return theme.MarkBad
	}
	return theme.MarkUnknown
}

// Findings lists findings one a row, h rows about the marked one.
func Findings(list []diagnostics.Finding, marked, w, h int) Block {
	var out Block
	from := max(0, min(marked-h/2, len(list)-h))
	for i := from; i < len(list) && len(out) < h; i++ {
		f := list[i]
		at := pad(2)
		if i == marked {
			at = Span{"> ", theme.Here}
		}
		l := Line{at, Mark(VerdictMark(f.Verdict)), pad(1)}
		l = append(l, Of(theme.Strong, words(f.Check)).Fit(min(20, w/3))...)
		why := f.Why
		if f.Verdict == diagnostics.CannotTell && why == "" {
			why = f.Missing
		}
		out = append(out, append(l, Say(theme.Plain, " "+why)).Cut(w))
	}
	return out
}

// Evidence shows one finding: what it says, figures, limit, source, stretch and episodes.
func Evidence(f diagnostics.Finding, u Units, w int) Block {
	verdict := map[diagnostics.Verdict]string{diagnostics.Pass: "in order", diagnostics.Fail: "not in order",
		diagnostics.CannotTell: "cannot tell"}[f.Verdict]
	out := Block{{pad(1), Mark(VerdictMark(f.Verdict)), Say(theme.Strong, " "+words(f.Check)+": "+verdict)}}
	para := func(head, text string) {
		if text != "" {
			out = append(out, Of(theme.Dim, " "+head))
			out = append(out, Wrap(theme.Plain, text, w-3).Indent(3)...)
		}
	}
	para("Why", f.Why)
	para("What would tell", f.Missing)
	para("What to change", f.Change)
	out = append(out, grades(f)...)
	out = append(out, figures(f.Figures, u)...)
	para("Limit", f.Limit)
	para("Source of the limit", f.Source)
	if !f.Evidence.From.IsZero() {
		para("Stretch of feed", span(f.Evidence))
	}
	return append(out, episodes(f, u)...).atMost(w, 1<<16)
}

func grades(f diagnostics.Finding) Block {
	var out Block
	for _, g := range f.Grades {
		out = append(out, Line{pad(3), Say(theme.Dim, words(g.Aspect)+": "), Say(theme.Plain, g.Word)})
	}
	return out
}

func figures(list []diagnostics.Figure, u Units) Block {
	var out Block
	for _, f := range list {
		name, val := u.Figure(f)
		out = append(out, append(append(Line{pad(3)}, Of(theme.Dim, name).Fit(24)...), Say(theme.Strong, " "+val)))
	}
	return out
}

func episodes(f diagnostics.Finding, u Units) Block {
	if len(f.Episodes) == 0 {
		return nil
	}
	out := Block{Of(theme.Dim, fmt.Sprintf(" Stretches in which it failed: %d, the last ones", len(f.Episodes)))}
	for _, e := range f.Episodes[max(0, len(f.Episodes)-3):] {
		l := Line{pad(3), Say(theme.Plain, span(e.Span))}
		for _, g := range e.Figures {
			name, val := u.Figure(g)
			l = append(l, Say(theme.Dim, "  "+name+" "), Say(theme.Plain, val))
		}
		out = append(out, l)
	}
	return out
}

func span(s diagnostics.Span) string {
	return fmt.Sprintf("%s to %s, %s", s.From.Format("15:04:05"), s.To.Format("15:04:05"),
		s.To.Sub(s.From).Round(time.Second))
}
