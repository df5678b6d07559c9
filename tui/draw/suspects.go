package draw

import (
	"fmt"
	"math"
	"strings"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/tui/theme"
)

// Suspects draws the likeliest causes as bars in at most h rows: what it is, how likely, and what
// moved it most. The causes without a row of their own are added up in the last.
func Suspects(list []faulttree.Suspect, u Units, w, h int) Block {
	if h <= 0 || len(list) == 0 {
		return nil
	}
	n := len(list)
	if n > h {
		n = max(1, h-1)
	}
	c := suspectColumns(w)
	var out Block
	for _, s := range list[:n] {
		out = append(out, c.line(s.Title, s.Probability, moved(s), s.Cured, u).Cut(w))
	}
	if n < len(list) && n < h {
		rest := 0.0
		for _, s := range list[n:] {
			rest += s.Probability
		}
		out = append(out, c.line(fmt.Sprintf("%d others", len(list)-n), rest, "", false, u).Cut(w))
	}
	return out
}

type suspectCols struct{ title, bar, moved int }

func suspectColumns(w int) suspectCols {
	c := suspectCols{title: min(34, w*2/5)}
	c.bar = min(18, w/6)
	c.moved = max(0, w-c.title-c.bar-9)
	return c
}

func (c suspectCols) line(title string, p float64, why string, cured bool, u Units) Line {
	l := append(Line{Say(theme.Plain, " ")}, Plain(title).Fit(c.title)...)
	l = append(l, Say(theme.Plain, " "))
	l = append(l, Line{{bar(p, c.bar, u.Coarse), theme.Bar}}.Fit(c.bar)...)
	l = append(l, Say(theme.Strong, fmt.Sprintf(" %3.0f%%", 100*p)))
	if cured {
		return append(l, Say(theme.Good, " + cured"))
	}
	return append(l, Line{Say(theme.Dim, "  "+why)}.Cut(c.moved)...)
}

// bar is p of w columns in eighths, or in whole columns when coarse.
func bar(p float64, w int, coarse bool) string {
	if !known(p) || w <= 0 {
		return ""
	}
	eighths := int(math.Round(min(1, max(0, p)) * float64(w) * 8))
	s := repeat("█", eighths/8)
	if rest := eighths % 8; rest > 0 && !coarse {
		s += string([]rune("▏▎▍▌▋▊▉")[rest-1])
	}
	if s == "" && p > 0.005 {
		s = "▏"
	}
	return s
}

// moved is the strongest evidence for or against a suspect, in words.
func moved(s faulttree.Suspect) string {
	if len(s.Moved) == 0 {
		return ""
	}
	m := s.Moved[0]
	dir := "up: "
	if m.Bits < 0 {
		dir = "down: "
	}
	return dir + words(m.Probe) + " " + m.Answer
}

// words makes an id readable.
func words(id string) string { return strings.ReplaceAll(id, "-", " ") }

// Why explains the suspects: what speaks for and against each, strongest first, n suspects at most.
func Why(list []faulttree.Suspect, o faulttree.Offer, w, n int) Block {
	var out Block
	if o.Why != "" {
		out = append(out, Of(theme.Strong, " Why this step"))
		out = append(out, Wrap(theme.Plain, o.Why, w-3).Indent(3)...)
		out = append(out, left(o, w)...)
		out = append(out, nil)
	}
	for i, s := range list {
		if i >= n {
			break
		}
		head := Of(theme.Strong, fmt.Sprintf(" %s", s.Title))
		tail := Of(theme.Plain, fmt.Sprintf("%.0f%% now, %.0f%% at the start", 100*s.Probability, 100*s.Prior))
		out = append(out, Ends(head, tail, w))
		out = append(out, weighed(s, w)...)
	}
	return out
}

func weighed(s faulttree.Suspect, w int) Block {
	if len(s.Moved) == 0 {
		return Block{Of(theme.Dim, "   nothing has moved it yet")}
	}
	var out Block
	for _, m := range s.Moved {
		mark, side := Span{"+", theme.Good}, "for     "
		if m.Bits < 0 {
			mark, side = Span{"!", theme.Bad}, "against "
		}
		l := Line{pad(3), mark, Say(theme.Dim, " "+side), Say(theme.Plain, words(m.Probe)+": "+m.Answer)}
		out = append(out, Ends(l, Of(theme.Dim, times(m.Bits)), w))
	}
	return out
}

// times is the likelihood ratio in words: 3 bits are "8 times likelier".
func times(bits float64) string {
	if !known(bits) {
		return ""
	}
	word := "likelier"
	if bits < 0 {
		word = "less likely"
	}
	return fmt.Sprintf("%.3g times %s", math.Exp2(math.Abs(bits)), word)
}

func left(o faulttree.Offer, w int) Block {
	if !(o.With > 0) || !known(o.With) {
		return nil
	}
	s := fmt.Sprintf("%.0f min expected with this step", o.With)
	if o.Swap > 0 && known(o.Swap) {
		s += fmt.Sprintf(", %.0f when you start swapping parts now", o.Swap)
	}
	return Wrap(theme.Dim, s+".", w-3).Indent(3)
}
