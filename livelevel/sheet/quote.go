package sheet

import (
	"fmt"
	"strings"
	"unicode"
)

// Quote writes a text as a YAML scalar that Parse gives back as it was: plain where that is safe
// inside flow maps too, else in double quotes. It writes one line, so texts of more than some 600 bytes
// may come out longer than a line of a sheet may be.
func Quote(s string) string {
	if plain(s) {
		return s
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r == '\r':
			b.WriteString(`\r`)
		case r > 0xffff && !unicode.IsPrint(r):
			fmt.Fprintf(&b, `\U%08X`, r)
		case !unicode.IsPrint(r):
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// plain tells whether a text needs no quotes. Words that some readers of YAML take for flags are
// quoted too; numbers are not, since Parse keeps them as written.
func plain(s string) bool {
	if s == "" || s != strings.TrimSpace(s) || len(s) > 200 {
		return false
	}
	switch strings.ToLower(s) {
	case "yes", "no", "on", "off", "true", "false", "null", "~", "y", "n", ".inf", ".nan":
		return false
	}
	for i, r := range s {
		letter := r == '_' || unicode.IsLetter(r) || unicode.IsDigit(r)
		if !letter && (i == 0 || !strings.ContainsRune(" .-/()%±+", r)) {
			return false
		}
	}
	return true
}
