// Package theme turns inks (what a text means) into the colours and characters that a terminal can
// show. One Theme value is made from the real terminal and passed down; there are no global styles.
package theme

import (
	"strings"

	_ "example.org/tankhand/tui/theme/quiet" // before anything of the terminal library
)

// Ink is what a piece of text means; a Theme says how that looks.
type Ink uint8

// The inks.
const (
	Plain   Ink = iota
	Dim         // said once, seldom read
	Strong      // headings and the figure that matters
	Good        // always beside a "+"
	Bad         // always beside a "!"
	Unknown     // always beside a "?"
	Here        // always beside a ">"
	Water
	Frame // walls, rules
	Key   // what to press
	Bar   // bars of suspects
	Alarm // cautions: must be read before going on
	inkCount
)

// The marks stand beside what they judge, so that nothing is said by colour alone.
const (
	MarkGood    = '+'
	MarkBad     = '!'
	MarkUnknown = '?'
	MarkHere    = '>'
)

// Profile is how many colours a terminal shows.
type Profile uint8

// The profiles. None sends no attributes at all, not even bold.
const (
	None Profile = iota
	Sixteen
	True
)

// Theme is how inks look on one terminal.
type Theme struct {
	Profile Profile
	ASCII   bool // no characters beyond 7 bits
}

// The inks in 24-bit colour lie between 4 and 5 to 1 in contrast against black as well as white
// (WCAG 2 relative luminance about 0.18), as the background is not asked for.
var truecolour = [inkCount]string{
	Plain: "", Dim: "38;2;118;118;118", Strong: "1", Good: "1;38;2;28;132;60", Bad: "1;38;2;214;59;34",
	Unknown: "38;2;160;100;0", Here: "1;38;2;168;75;190", Water: "38;2;0;125;160", Frame: "38;2;125;115;100",
	Key: "1;38;2;168;75;190", Bar: "38;2;168;75;190", Alarm: "7;1",
}

var sixteen = [inkCount]string{
	Plain: "", Dim: "2", Strong: "1", Good: "1;32", Bad: "1;31", Unknown: "33", Here: "1;35", Water: "36",
	Frame: "2", Key: "1;35", Bar: "35", Alarm: "7;1",
}

// Paint wraps text, which must be safe already, in the attributes of an ink.
func (t Theme) Paint(ink Ink, text string) string {
	if t.ASCII {
		text = Plainest(text)
	}
	sgr := t.sgr(ink)
	if sgr == "" || text == "" {
		return text
	}
	return "\x1b[" + sgr + "m" + text + "\x1b[0m"
}

func (t Theme) sgr(ink Ink) string {
	if ink >= inkCount {
		return ""
	}
	switch t.Profile {
	case True:
		return truecolour[ink]
	case Sixteen:
		return sixteen[ink]
	}
	return ""
}

// Detect reads the profile off the environment, as terminals are not questioned.
func Detect(env func(string) string) Profile {
	term := env("TERM")
	switch {
	case env("NO_COLOR") != "", term == "dumb", term == "", strings.HasPrefix(term, "vt"):
		return None
	case env("COLORTERM") == "truecolor", env("COLORTERM") == "24bit":
		return True
	}
	return Sixteen
}

// Seven tells whether the locale names a character set other than UTF-8. An empty locale, common
// after ssh, counts as UTF-8.
func Seven(env func(string) string) bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		v := strings.ToUpper(env(name))
		if v == "" {
			continue
		}
		return !strings.Contains(v, "UTF-8") && !strings.Contains(v, "UTF8")
	}
	return false
}
