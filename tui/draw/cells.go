package draw

import (
	"unicode/utf8"

	"example.org/tankhand/tui/theme"
)

// cells is how wide safe text is. Most of what a screen holds is of one column a character; only the rest
// is looked up, as that is half the work of a paint.
func cells(s string) int {
	n := 0
	for i, r := range s {
		if !single(r) {
			return lookedUp(s, i, n)
		}
		n++
	}
	return n
}

// lookedUp is the width of a text whose first n characters, i bytes, are single. A mark belongs to the
// character before it.
func lookedUp(s string, i, n int) int {
	if i == 0 {
		return widths.StringWidth(s)
	}
	_, size := utf8.DecodeLastRuneInString(s[:i])
	return n - 1 + widths.StringWidth(s[i-size:])
}

// single are the characters known to take one column: printable ASCII, frames, blocks, Braille, and some of
// our own.
func single(r rune) bool {
	switch {
	case r >= ' ' && r <= '~', r >= 0x2500 && r <= 0x259f, r >= 0x2800 && r <= 0x28ff:
		return true
	}
	return r == '…' || r == '→' || r == '≈' || r == '·' || r == '±'
}

var widths = theme.Widths
