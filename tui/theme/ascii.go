package theme

import (
	"strings"

	"github.com/mattn/go-runewidth"
	"github.com/rivo/uniseg"
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
	for state, g := -1, ""; s != ""; {
		g, s, _, state = uniseg.FirstGraphemeClusterInString(s, state)
		n := 0
		for _, r := range g {
			if c, ok := seven[r]; ok {
				r = rune(c)
			}
			if r < 0x80 {
				b.WriteRune(r)
				n += Widths.RuneWidth(r)
			}
		}
		// A mark over a letter has no width of its own: what counts is how wide the whole is.
		b.WriteString(strings.Repeat("?", max(0, Widths.StringWidth(g)-n)))
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
