package theme

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// seven replaces our own drawing characters one for one, so that widths stay.
var seven = map[rune]byte{
	'─': '-', '│': '|', '┌': '+', '┐': '+', '└': '`', '┘': '+', '├': '|', '┤': '|', '┬': '+', '┴': '+', '┼': '+',
	'╭': '.', '╮': '.', '╰': '`', '╯': '\'', '╱': '/', '╲': '\\', '▒': '#', '░': ':', '█': '#', '▌': '=', '▼': 'v',
	'▁': '_', '→': '>', '…': '~', '≈': '~', '╌': '-', '▏': '|', '▎': '|', '▍': '|', '▋': '=', '▊': '#', '▉': '#',
	'·': '.', '╵': '|', '▀': '"', '▄': '_', '┄': '-', '≋': 'w', '═': '=', '²': '2', '³': '3', '°': 'o', 'µ': 'u',
}

// Plainest replaces everything beyond 7 bits, keeping the width.
func Plainest(s string) string {
	if isASCII(s) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch c, ok := seven[r]; {
		case r < 0x80:
			b.WriteRune(r)
		case ok:
			b.WriteByte(c)
		default:
			b.WriteString(strings.Repeat("?", runewidth.RuneWidth(r)))
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
