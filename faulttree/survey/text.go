package survey

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// paragraph writes text behind a lead, broken at words so that no line is wider than the page; the
// lines after the first are set in by the lead's width. What does not print is made visible, wherever it came from.
func paragraph(b *strings.Builder, lead, text string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(lead))
	line, width := lead, utf8.RuneCountInString(lead)
	empty := true
	for _, word := range pieces(text, columns-width) {
		n := utf8.RuneCountInString(word)
		if !empty && width+1+n > columns {
			b.WriteString(strings.TrimRight(line, " ") + "\n")
			line, width, empty = indent, utf8.RuneCountInString(indent), true
		}
		if !empty {
			line, width = line+" ", width+1
		}
		line, width, empty = line+word, width+n, false
	}
	b.WriteString(strings.TrimRight(line, " ") + "\n")
}

// pieces are the words of a text; one that is wider than a line is cut.
func pieces(text string, most int) (out []string) {
	for _, word := range strings.Fields(text) {
		for r := []rune(visible(word)); len(r) > 0; {
			n := min(most, len(r))
			out, r = append(out, string(r[:n])), r[n:]
		}
	}
	return out
}

// visible makes text from outside safe for a terminal: what does not print is shown as its code.
func visible(s string) string {
	var b strings.Builder
	for _, r := range s {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			b.WriteRune('·')
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}
