package survey

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// paragraph writes text behind a lead, broken at words so that no line is wider than the page; the
// lines after the first are set in by the lead's width.
func paragraph(b *strings.Builder, lead, text string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(lead))
	line, width := lead, utf8.RuneCountInString(lead)
	empty := true
	for _, word := range strings.Fields(text) {
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
