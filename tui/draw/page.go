package draw

import (
	"github.com/charmbracelet/bubbles/key"

	"example.org/tankhand/tui/theme"
)

// Page is a screen of the plain kind: a head, a body, a line that says what was done or went wrong, and
// the row of keys.
type Page struct {
	Head   Line
	Body   func(w, h int) Block
	Status Line // empty: a rule
	Keys   Line
}

// Paint is the page in a window, never larger than it.
func (p Page) Paint(w, h int, t theme.Theme) string {
	if w <= 0 || h <= 0 {
		return ""
	}
	status := p.Status
	if len(status) == 0 {
		status = Rule(w)
	}
	foot := Block{status.Cut(w), p.Keys}
	if h < 3 {
		foot = foot[1:]
	}
	room := max(0, h-len(foot)-1)
	out := append(Block{p.Head}, p.Body(w, room)...).Fit(w, max(0, h-len(foot)))
	return append(out, foot...).Fit(w, h).Paint(t)
}

// Done says what was done, with the mark for good.
func Done(s string) Line {
	if s == "" {
		return nil
	}
	return Line{Mark(theme.MarkGood), Say(theme.Plain, " "+s)}
}

// Wrong says what went wrong, with the mark for bad.
func Wrong(s string) Line {
	if s == "" {
		return nil
	}
	return Line{Mark(theme.MarkBad), Say(theme.Bad, " "+s)}
}

// KeyList is the list of all keys of a screen, those that can be pressed now first.
func KeyList(list []key.Binding, w int) Block {
	out := Block{Of(theme.Strong, " Keys here")}
	for _, now := range []bool{true, false} {
		for _, b := range list {
			if b.Enabled() == now {
				out = append(out, keyRow(b, w))
			}
		}
	}
	return append(out, nil, Line{Say(theme.Strong, " Marks  "), Mark('+'), Say(theme.Plain, " good  "), Mark('!'),
		Say(theme.Plain, " bad  "), Mark('?'), Say(theme.Plain, " cannot tell  "), Mark('>'), Say(theme.Plain, " here")}.Cut(w))
}

func keyRow(b key.Binding, w int) Line {
	ink, rest := theme.Plain, ""
	if !b.Enabled() {
		ink, rest = theme.Dim, " (not just now)"
	}
	return append(Of(theme.Key, "   "+b.Help().Key).Fit(11), Say(ink, " "+b.Help().Desc+rest)).Cut(w)
}

// Window is h rows of a longer text from a row on, and says when there is more below.
func Window(b Block, from, h int) Block {
	b = b[min(max(0, from), max(0, len(b)-h)):]
	if len(b) > h && h > 1 {
		b = append(b[:h-1:h-1], Line{Say(theme.Key, " down"), Say(theme.Dim, " more")})
	}
	return b
}

// About is h rows of a list, scrolled so that row mark is among them.
func About(b Block, mark, h int) Block {
	from := max(0, min(mark-h/2, len(b)-h))
	return b[from:max(from, min(len(b), from+h))]
}

// Numbered is a line of a list with its digit, ten and above without.
func Numbered(i int, marked bool) Line {
	l := Line{Say(theme.Plain, " ")}
	if marked {
		l = Line{Mark(theme.MarkHere)}
	}
	n := "   "
	if i < 9 {
		n = " " + string(rune('1'+i)) + " "
	}
	return append(l, Say(theme.Key, n))
}
