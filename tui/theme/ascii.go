package theme

import (
	"strings"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"
)

// seven replaces our own drawing characters one for one, so that widths stay.
var seven = map[rune]byte{
	'─': '-', '│': '|', '┌': '+', '┐': '+', '└': '`', '┘': '+', '├': '|', '┤': '|', '┬': '+', '┴': '+', '┼': '+',
	'╭': '.', '╮': '.', '╰': '`', '╯': '\'', '╱': '/', '╲': '\\', '▒': '#', '░': ':', '█': '#', '▌': '=', '▼': 'v',
	'▁': '_', '→': '>', '…': '~', '≈': '~', '╌': '-', '▏': '|', '▎': '|', '▍': '|', '▋': '=', '▊': '#', '▉': '#',
	'·': '.', '╵': '|', '▀': '"', '▄': '_', '┄': '-', '≋': 'w', '═': '=', '“': '"', '”': '"', '’': '\'', '±': '~', '²': '2', '³': '3', '°': 'o', 'µ': 'u',
}

// Widths measures text in columns; it must not depend on the locale of who runs the program.
var Widths = &runewidth.Condition{EastAsianWidth: false}

// Plainest replaces everything beyond 7 bits, keeping the width.
func Plainest(s string) string {
	if isASCII(s) {
		return s
	}
	var b strings.Builder
	for i, r := range s {
		switch c, ok := seven[r]; {
		case r < 0x80:
			b.WriteRune(r)
		case ok:
			b.WriteByte(c)
		default:
			// A mark over a letter has no width of its own: what counts is how much wider it makes the text.
			more := Widths.StringWidth(s[:min(len(s), i+utf8.RuneLen(r))]) - Widths.StringWidth(s[:i])
			b.WriteString(strings.Repeat("?", max(0, more)))
		}
	}
	return b.String()
}

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= 0x80 {
			return false
		}
	}
	return true
}
