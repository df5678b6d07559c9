package draw

import (
	"github.com/charmbracelet/bubbles/key"

	"example.org/tankhand/tui/theme"
)

// Keys is the row of keys that can be pressed now, from the bindings themselves. What does not fit
// is left out, but never the way back, out, and to the list of all keys.
func Keys(list []key.Binding, w int) Line {
	var rest, tail Line
	for _, b := range list {
		name := b.Help().Key
		if !b.Enabled() || name == "Ctrl-Z" || name == "up" || name == "down" {
			continue
		}
		one := Line{Say(theme.Key, " "+name), Say(theme.Plain, " "+b.Help().Desc+" ")}
		if name == "?" || name == "q" || name == "Esc" {
			tail = append(tail, one...)
		} else {
			rest = append(rest, one...)
		}
	}
	for rest.Width() > w-tail.Width() && len(rest) >= 2 {
		rest = rest[:len(rest)-2]
	}
	return append(rest, tail...).Cut(w)
}
