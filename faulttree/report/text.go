package report

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxText bounds one text on paper: a feed or a person can send megabytes.
const maxText = 4000

// visible makes a text harmless for any paper: one line, controls and direction marks written out
// (U+202E and its kin can show text in another order than it is), invalid bytes as \xNN.
func visible(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); {
		if b.Len() > maxText {
			b.WriteString(" ... (cut)")
			break
		}
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			fmt.Fprintf(&b, `\x%02x`, s[i])
		case r == '\n' || r == '\t' || r == '\r':
			b.WriteByte(' ')
		case hidden(r):
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteRune(r)
		}
		i += n
	}
	return strings.TrimSpace(b.String())
}

func hidden(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Co, r) || r == '\u2028' || r == '\u2029'
}

// words turns an id into words where no title is at hand.
func words(id string) string { return strings.ReplaceAll(id, "-", " ") }

// orWords prefers a title over an id.
func orWords(title, id string) string {
	if title != "" {
		return title
	}
	return words(id)
}

// sentence starts with a capital letter and ends with a full stop.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	r, n := utf8.DecodeRuneInString(s)
	s = string(unicode.ToUpper(r)) + s[n:]
	if !strings.ContainsAny(s[len(s)-1:], ".!?") {
		s += "."
	}
	return s
}
