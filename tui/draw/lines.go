package draw

import (
	"fmt"
	"math"
	"strings"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/tui/theme"
)

// Column is one column of a feed as the teach-in shows it.
type Column struct {
	At, Role, Unit string
	Sure           float64 // 0..1, NaN where a person said it
	RunnerUp       string
	Lost           []string
	Sample, Live   string
}

// Lines is the teach-in: the raw lines as they came with what does not print made visible, and below
// them the columns with what each is taken for.
func Lines(raw []string, columns []Column, mark, w, h int) Block {
	rows := min(len(columns), max(1, h-3-min(4, len(raw)+1)))
	room := max(0, min(6, h-rows-3))
	var out Block
	out = append(out, Of(theme.Strong, " As it comes"))
	for _, l := range raw[max(0, len(raw)-room):] {
		out = append(out, Of(theme.Dim, " "+l).Cut(w))
	}
	if len(raw) == 0 {
		out = append(out, Of(theme.Dim, " nothing has come yet"))
	}
	out = append(out, Of(theme.Strong, " What each column is taken for").Cut(w))
	from := max(0, min(mark-rows/2, len(columns)-rows))
	for i := from; i < from+rows; i++ {
		out = append(out, columnLine(columns[i], i == mark, w))
	}
	if mark >= 0 && mark < len(columns) {
		out = append(out, columnMore(columns[mark]).Cut(w))
	}
	return out
}

func columnLine(c Column, marked bool, w int) Line {
	lead, ink := "  ", theme.Plain
	if marked {
		lead, ink = "> ", theme.Strong
	}
	sure := "as you said"
	if !math.IsNaN(c.Sure) {
		sure = fmt.Sprintf("sure to %.0f %%", 100*c.Sure)
	}
	role := c.Role
	if c.Role == livelevel.Ignore.String() {
		sure, ink = "", theme.Dim
		role = "not used"
	}
	return Of(ink, fmt.Sprintf("%s%-16.16s %-13s %-5s %-12s %s", lead, c.At, role, c.Unit, c.Live, sure)).Cut(w)
}

func columnMore(c Column) Line {
	text := "    "
	if c.Live == "" { // what it is now says more than what it was when the feed was learned
		text += fmt.Sprintf("came as %q", c.Sample)
	} else {
		text += "now " + c.Live
	}
	if c.RunnerUp != "" && c.RunnerUp != c.Role && c.RunnerUp != livelevel.Ignore.String() {
		text += ", or else " + c.RunnerUp
	}
	if len(c.Lost) > 0 {
		text += "; no echo when " + strings.Join(c.Lost, ", ")
	}
	return Of(theme.Dim, text)
}
