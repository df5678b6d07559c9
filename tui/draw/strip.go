package draw

import (
	"math"

	"example.org/tankhand/tui/theme"
)

// Strip draws the vessel lying down: bottom at left, sensor at right, one row of bar and one of
// words; aside stands at the right end of the words.
func Strip(v Vessel, u Units, aside Line, w int) Block {
	name := v.Asset
	if name == "" {
		name = "tank"
	}
	head := Join(Of(theme.Strong, " "+name), " ", nil)
	tail := Join(nil, " ", Reading(v, u))
	n := w - head.Width() - tail.Width() - 2
	if n < 8 {
		return Block{tail.Cut(w), Ends(stripWords(v, u, w-aside.Width()), aside, w)}
	}
	bar := Line{{"[", theme.Frame}}
	for i := range n {
		text, ink := v.stripCell(i, n)
		if k := len(bar) - 1; bar[k].ink == ink {
			bar[k].text += text
		} else {
			bar = append(bar, Span{text, ink})
		}
	}
	bar = append(bar, Span{"]", theme.Frame})
	return Block{append(append(head, bar...), tail...).Cut(w), Ends(stripWords(v, u, w-aside.Width()), aside, w)}
}

func (v Vessel) stripCell(i, n int) (string, theme.Ink) {
	scale := firstKnown(v.Face, v.Height, v.top())
	h := (float64(i) + 0.5) / float64(n) * scale
	is := func(mark float64) bool {
		return known(mark) && mark >= 0 && i == min(n-1, int(mark/scale*float64(n)))
	}
	switch {
	case is(v.Level):
		return "≈", theme.Water
	case is(v.Full), is(v.Low):
		return "│", theme.Strong
	case is(v.Second) && v.SecondShare > 0:
		return "!", theme.Bad
	case known(v.Level) && h < v.Level:
		return "▒", theme.Water
	case v.blanked(h):
		return "░", theme.Dim
	}
	return " ", theme.Plain
}

// stripWords says as much as fits.
func stripWords(v Vessel, u Units, w int) Line {
	l := Line{Say(theme.Dim, " ")}
	add := func(ink theme.Ink, s string) {
		if len(l) > 1 {
			s = "   " + s
		}
		if next := append(l, Say(ink, s)); next.Width() < w {
			l = next
		}
	}
	if known(v.Level) && known(v.Ullage) {
		add(theme.Plain, u.Length(v.Ullage)+" below the sensor")
	}
	if v.SecondShare > 0 && known(v.Second) {
		add(theme.Bad, "! a second echo")
	}
	if v.U > 0 && known(v.Level) {
		add(theme.Dim, "within "+u.Length(2*v.U))
	}
	if !math.IsNaN(v.LowPercent) {
		add(theme.Dim, "low set "+u.Percent(v.LowPercent))
	}
	if known(v.FullBelow) {
		add(theme.Dim, "full "+u.Length(v.FullBelow)+" below")
	}
	return l
}
