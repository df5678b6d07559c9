package command

import (
	"strings"
	"unicode"
)

// safe makes text from outside fit to stand on a line of a terminal.
func safe(s string) string {
	return strings.Map(func(r rune) rune {
		if r == unicode.ReplacementChar || !unicode.IsPrint(r) {
			return '·'
		}
		return r
	}, s)
}
