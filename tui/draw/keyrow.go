package draw

import (
	"slices"

	"github.com/charmbracelet/bubbles/key"

	"example.org/tankhand/tui/theme"
)

// narrow is the width below which the row of keys is kept to what is needed most.
const narrow = 60

// Keys is the row of keys that can be pressed now, from the bindings themselves. What does not fit
// is left out, but never the way back, out, and to the list of all keys; in a narrow window the way
// back alone is kept, where there is one.
func Keys(list []key.Binding, w int) Line {
	var rest, tail Line
	last := map[string]bool{"Esc": true, "?": w >= narrow, "q": w >= narrow}
	if !slices.ContainsFunc(list, func(b key.Binding) bool { return b.Enabled() && b.Help().Key == "Esc" }) {
		last["?"] = true
	}
	for _, b := range list {
		name := b.Help().Key
		if !b.Enabled() || name == "Ctrl-Z" || name == "up" || name == "down" {
			continue
		}
		one := Line{Say(theme.Key, " "+name), Say(theme.Plain, " "+b.Help().Desc+" ")}
		switch {
		case last[name]:
			tail = append(tail, one...)
		case name == "Enter": // what a newcomer presses
			rest = append(one, rest...)
		default:
			rest = append(rest, one...)
		}
	}
	for rest.Width() > w-tail.Width() && len(rest) >= 2 {
		rest = rest[:len(rest)-2]
	}
	return append(rest, tail...).Cut(w)
}
