package draw

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Safe makes every character visible that could do something to a terminal or deceive a reader:
// controls ("^[" for escape), invalid bytes ("\x9b"), marks without width, directions ("<202e>").
func Safe(s string) string {
	if printable(s) {
		return s
	}
	var b strings.Builder
	marks := 0
	for i, r := range s {
		if r == utf8.RuneError {
			if _, n := utf8.DecodeRuneInString(s[i:]); n == 1 {
				fmt.Fprintf(&b, `\x%02x`, s[i])
				continue
			}
		}
		if unicode.In(r, unicode.Mn, unicode.Me) {
			marks++
		} else {
			marks = 0
		}
		writeRune(&b, r, marks)
	}
	return b.String()
}

func printable(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}

func writeRune(b *strings.Builder, r rune, marks int) {
	switch {
	case r < ' ':
		b.WriteByte('^')
		b.WriteByte(byte(r) + '@')
	case r == 0x7f:
		b.WriteString("^?")
	case r <= 0x9f && r >= 0x80:
		fmt.Fprintf(b, `\x%02x`, r)
	case unicode.In(r, unicode.Cf, unicode.Co, unicode.Cs, unicode.Zl, unicode.Zp), r >= 0xfe00 && r <= 0xfe0f, marks > 1:
		fmt.Fprintf(b, "<%04x>", r)
	default:
		b.WriteRune(r)
	}
}
