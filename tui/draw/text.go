// Package draw holds pure functions from data to text: the tank, the trend, the tree, the bars.
// What they return is a Block of lines of spans: text that is safe for a terminal, with its meaning
// beside it, so that widths are exact and colours come last.
package draw

import (
	"strings"

	"github.com/rivo/uniseg"

	"example.org/tankhand/tui/theme"
)

// Span is a piece of safe text in one ink. It can only be made by Say, which makes text safe.
type Span struct {
	text string
	ink  theme.Ink
}

// Line is one row.
type Line []Span

// Block is rows from top to bottom.
type Block []Line

// Say makes a span; control characters become visible.
func Say(ink theme.Ink, text string) Span { return Span{Safe(text), ink} }

// Plain is a line in plain ink.
func Plain(text string) Line { return Line{Say(theme.Plain, text)} }

// Of is a line of one span.
func Of(ink theme.Ink, text string) Line { return Line{Say(ink, text)} }

// Width is the number of columns.
func (l Line) Width() int {
	n := 0
	for _, s := range l {
		n += cells(s.text)
	}
	return n
}

// Text is the line without inks.
func (l Line) Text() string {
	var b strings.Builder
	for _, s := range l {
		b.WriteString(s.text)
	}
	return b.String()
}

// Cut returns at most w columns; what was cut off shows as "…".
func (l Line) Cut(w int) Line {
	if l.Width() <= w {
		return l
	}
	if w <= 0 {
		return nil
	}
	var out Line
	left := w - 1
	for _, s := range l {
		n := cells(s.text)
		if n > left {
			out = append(out, Span{widths.Truncate(s.text, left, "") + "…", s.ink})
			break
		}
		out = append(out, s)
		left -= n
	}
	return out
}

// Fit returns exactly w columns.
func (l Line) Fit(w int) Line {
	n := l.Width()
	if n > w {
		l = l.Cut(w)
		n = l.Width()
	}
	if gap := w - n; gap > 0 {
		l = append(l[:len(l):len(l)], Span{blanks(gap), theme.Plain})
	}
	return l
}

const manyBlanks = "                                                                                                                                "

// blanks are n spaces.
func blanks(n int) string {
	if n <= len(manyBlanks) {
		return manyBlanks[:n]
	}
	return strings.Repeat(" ", n)
}

// Ends puts a at the left end and b at the right end of w columns; b goes first when there is no
// room for both.
func Ends(a, b Line, w int) Line {
	gap := w - a.Width() - b.Width()
	if gap < 1 {
		return Join(a.Cut(max(0, w-b.Width()-1)), " ", b).Cut(w)
	}
	return Join(a, strings.Repeat(" ", gap), b)
}

// Join puts b behind a.
func Join(a Line, between string, b Line) Line {
	out := append(Line{}, a...)
	return append(append(out, Say(theme.Plain, between)), b...)
}

// Fit returns exactly w columns by h rows, cut at the bottom.
func (b Block) Fit(w, h int) Block {
	out := make(Block, 0, h)
	for i := range max(0, h) {
		var l Line
		if i < len(b) {
			l = b[i]
		}
		out = append(out, l.Fit(w))
	}
	return out
}

// Shorten returns at most h rows; "…" at the end of the last says that there was more.
func (b Block) Shorten(h int) Block {
	if len(b) <= max(0, h) {
		return b
	}
	out := append(Block{}, b[:max(0, h)]...)
	if h > 0 {
		out[h-1] = append(append(Line{}, out[h-1]...), Span{"…", theme.Dim})
	}
	return out
}

// Indent puts n blank columns before every line.
func (b Block) Indent(n int) Block {
	out := make(Block, len(b))
	for i, l := range b {
		out[i] = append(Line{Span{strings.Repeat(" ", n), theme.Plain}}, l...)
	}
	return out
}

// Rule is a line across.
func Rule(w int) Line { return Line{{strings.Repeat("─", max(0, w)), theme.Frame}} }

// Beside puts two blocks side by side with a rule between, h rows high.
func Beside(left Block, lw int, right Block, rw, h int) Block {
	l, r := left.Fit(lw, h), right.Fit(rw, h)
	out := make(Block, h)
	for i := range out {
		line := append(append(Line{}, l[i]...), Span{"│", theme.Frame})
		out[i] = append(line, r[i]...)
	}
	return out
}

// Paint makes the string for the terminal: rows joined, blanks at the ends of rows left out, so
// that a slow link does not carry them.
func (b Block) Paint(t theme.Theme) string {
	rows := make([]string, len(b))
	for i, l := range b {
		rows[i] = l.paint(t)
	}
	return strings.Join(rows, "\n")
}

func (l Line) paint(t theme.Theme) string {
	end := len(l)
	for end > 0 && strings.TrimRight(l[end-1].text, " ") == "" {
		end--
	}
	var b strings.Builder
	for i, s := range l[:end] {
		text := s.text
		if i == end-1 {
			text = strings.TrimRight(text, " ")
		}
		b.WriteString(t.Paint(s.ink, text))
	}
	return b.String()
}

// begin is the part of a text that goes into w cells, and how many it takes. It looks at no more of the
// text than that, however long the text is.
func begin(text string, w int) (head string, wide int) {
	rest := text
	for state, g := -1, ""; rest != ""; {
		g, rest, _, state = uniseg.FirstGraphemeClusterInString(rest, state)
		n := cells(g)
		if wide+n > w {
			return text[:len(head)], wide
		}
		head, wide = text[:len(head)+len(g)], wide+n
	}
	return head, wide
}

// Wrap breaks text at blanks into lines of at most w columns.
func Wrap(ink theme.Ink, text string, w int) Block {
	var out Block
	row, filled := "", 0
	for _, word := range strings.Fields(text) {
		word = Safe(word)
		left := cells(word)
		for left > max(1, w) {
			head, wide := begin(word, max(1, w))
			if head == "" {
				break
			}
			if row != "" {
				out, row = append(out, Line{{row, ink}}), ""
			}
			out, word, left = append(out, Line{{head, ink}}), word[len(head):], left-wide
		}
		switch {
		case row == "":
			row, filled = word, left
		case filled+1+left <= w:
			row, filled = row+" "+word, filled+1+left
		default:
			out, row, filled = append(out, Line{{row, ink}}), word, left
		}
	}
	if row != "" {
		out = append(out, Line{{row, ink}})
	}
	return out
}
