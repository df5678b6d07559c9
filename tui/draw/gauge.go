package draw

import (
	"fmt"
	"math"

	"example.org/tankhand/tui/theme"
)

const labelColumns = 16

// Gauge draws the vessel upright in its own shape, w columns by h rows, with its marks beside it.
func Gauge(v Vessel, u Units, w, h int) Block {
	if w < 8 || h < 5 {
		return Block{Reading(v, u).Cut(w)}.Fit(w, h)
	}
	labels := labelColumns
	if w < 30 {
		labels = 0
	}
	g := grid(v, w-labels, h-2)
	out := Block{sensorLine(v, w-labels)}
	for r := range g.rows {
		out = append(out, g.line(r))
	}
	out = append(out, g.bottom())
	if labels > 0 {
		beside(out, v.labels(u, g), labels)
	}
	return out.Fit(w, h)
}

// canvas is the vessel as cells.
type canvas struct {
	v       Vessel
	w, rows int
	cell    float64 // metres a row
}

func grid(v Vessel, w, rows int) canvas {
	return canvas{v: v, w: w, rows: rows, cell: v.top() / float64(rows)}
}

// height is that of the middle of a row.
func (c canvas) height(row int) float64 { return (float64(c.rows-row) - 0.5) * c.cell }

// row is the row that shows a height, or -1.
func (c canvas) row(h float64) int {
	if !known(h) || h < 0 {
		return -1
	}
	r := c.rows - 1 - int(h/c.cell)
	if r < 0 || r >= c.rows {
		return -1
	}
	return r
}

// walls are the columns of the left and right wall at a row.
func (c canvas) walls(row int) (l, r int) {
	half := float64(c.w-2) / 2 * c.v.share(c.height(row))
	mid := float64(c.w-1) / 2
	l = int(math.Round(mid - half))
	return l, c.w - 1 - l
}

func (c canvas) line(row int) Line {
	l, r := c.walls(row)
	out := Line{pad(l), Span{c.wall(row, false), theme.Frame}}
	out = append(out, c.inside(row, r-l-1)...)
	return append(out, Span{c.wall(row, true), theme.Frame})
}

// wall is the character of a wall by its slope from this row to the next.
func (c canvas) wall(row int, right bool) string {
	here, _ := c.walls(row)
	above, below := here, here
	if row > 0 {
		above, _ = c.walls(row - 1)
	}
	if row+1 < c.rows {
		below, _ = c.walls(row + 1)
	}
	d := below - above
	if right {
		d = -d
	}
	switch {
	case d > 0:
		return "╲"
	case d < 0:
		return "╱"
	}
	return "│"
}

func (c canvas) inside(row, n int) Line {
	if n <= 0 {
		return nil
	}
	out := make(Line, 0, 4)
	run := make([]byte, 0, 4*n)
	last := theme.Plain
	end := func() {
		if len(run) > 0 {
			out = append(out, Span{string(run), last})
			run = run[:0]
		}
	}
	for i := range n {
		text, ink := c.at(row, i, n)
		if ink != last {
			end()
			last = ink
		}
		run = append(run, text...)
	}
	end()
	return out
}

// at is one cell: the marks first, then water, then what is in the air.
func (c canvas) at(row, i, n int) (string, theme.Ink) {
	v, h := c.v, c.height(row)
	switch surface := c.row(v.Level); {
	case row == surface:
		return "≈", theme.Water
	case row == c.row(v.Full):
		return "─", theme.Strong
	case row == c.row(v.Low):
		return [2]string{"-", " "}[i%2], theme.Strong
	case row == c.row(v.Second) && v.SecondShare > 0:
		return [2]string{"=", " "}[i%2], theme.Bad
	case known(v.Level) && c.unsure(h):
		return "~", theme.Water
	case known(v.Level) && h < v.Level:
		return "▒", theme.Water
	case v.blanked(h + c.cell/3):
		return "░", theme.Dim
	case c.beam(h, i, n):
		return "·", theme.Dim
	}
	return " ", theme.Plain
}

// unsure: the row lies within twice the standard uncertainty of the surface.
func (c canvas) unsure(h float64) bool {
	return known(c.v.U) && math.Abs(h-c.v.Level) < 2*c.v.U
}

// blanked: nothing nearer to the sensor than the blanking distance is measured.
func (v Vessel) blanked(h float64) bool {
	return known(v.Face) && known(v.Blanking) && h > v.Face-v.Blanking
}

// beam: the cell lies on the edge of the sensor's beam.
func (c canvas) beam(h float64, i, n int) bool {
	v := c.v
	if !known(v.BeamHalf) || !known(v.Face) || !known(v.Width) || v.Width <= 0 || h > v.Face {
		return false
	}
	reach := (v.Face - h) * math.Tan(v.BeamHalf) / v.Width * float64(c.w-2)
	off := math.Abs(float64(i) - float64(n-1)/2)
	return math.Abs(off-reach) <= 0.5
}

// bottom closes the vessel in the manner of its shape.
func (c canvas) bottom() Line {
	l, r := c.walls(c.rows - 1)
	a, z := "└", "┘"
	switch c.v.Kind {
	case "vertical cylinder", "horizontal cylinder", "sphere":
		a, z = "╰", "╯"
	case "cone bottom":
		a, z = "╲", "╱"
	}
	return Line{pad(l), Span{a + repeat("─", r-l-1) + z, theme.Frame}}
}

// sensorLine is the lid with the sensor in it.
func sensorLine(v Vessel, w int) Line {
	c := grid(v, w, 1)
	c.cell = 0 // the walls at the top
	half := float64(w-2) / 2 * v.share(v.top())
	l := int(math.Round(float64(w-1)/2 - half))
	a, z := "┌", "┐"
	if v.Kind == "vertical cylinder" || v.Kind == "horizontal cylinder" || v.Kind == "sphere" || v.Kind == "cone bottom" {
		a, z = "╭", "╮"
	}
	n := w - 2*l - 2
	left := max(0, (n-1)/2)
	return Line{pad(l), {a + repeat("─", left), theme.Frame}, {"▼", theme.Strong}, {repeat("─", n-left-1) + z, theme.Frame}}
}

// label is a text that wants to stand beside a row.
type label struct {
	row  int
	text string
	ink  theme.Ink
}

func (v Vessel) labels(u Units, c canvas) []label {
	var out []label
	add := func(row int, ink theme.Ink, text string) {
		if row >= 0 {
			out = append(out, label{row + 1, text, ink})
		}
	}
	out = append(out, label{0, "sensor", theme.Dim})
	if !known(v.Height) && !known(v.Face) {
		add(1, theme.Unknown, "? not to scale")
	}
	add(c.row(v.Level), theme.Strong, u.Length(v.Level)+" deep")
	if v.U > 0 {
		add(c.row(v.Level), theme.Dim, "within "+u.Length(2*v.U))
	}
	add(c.row(v.Full), theme.Plain, "full")
	if known(v.LowPercent) {
		add(c.row(v.Low), theme.Plain, "low set "+u.Percent(v.LowPercent))
	} else {
		add(c.row(v.Low), theme.Plain, "low set")
	}
	if v.SecondShare > 0 {
		add(c.row(v.Second), theme.Bad, fmt.Sprintf("! echo too %.0f%%", 100*v.SecondShare))
	}
	if known(v.Blanking) && known(v.Face) {
		add(c.row(min(v.top()-c.cell/2, v.Face-v.Blanking+c.cell)), theme.Dim, "blanking")
	}
	return out
}

// beside writes each label at its row, or at the next free one below or above.
func beside(b Block, labels []label, w int) {
	at := make(map[int]label)
	for _, l := range labels {
		for d := 0; d < 2*len(b); d++ {
			r := l.row + (d+1)/2*[2]int{-1, 1}[d%2]
			if _, taken := at[r]; r >= 0 && r < len(b) && !taken {
				at[r] = l
				break
			}
		}
	}
	wide := 0
	for _, l := range b {
		wide = max(wide, l.Width())
	}
	for r, l := range at {
		b[r] = append(b[r].Fit(wide), Line{Say(l.ink, " "+l.text)}.Cut(w)...)
	}
}

// Reading is the level in words, in one line.
func Reading(v Vessel, u Units) Line {
	if !known(v.Level) && !known(v.Ullage) {
		return Of(theme.Unknown, "? no level yet")
	}
	if !known(v.Level) {
		return Of(theme.Strong, u.Length(v.Ullage)+" below the sensor")
	}
	l := Of(theme.Strong, u.Length(v.Level)+" deep")
	if known(v.Percent) {
		l = append(l, Say(theme.Strong, "  "+u.Percent(v.Percent)))
	}
	return l
}

func pad(n int) Span { return Span{repeat(" ", n), theme.Plain} }

func repeat(s string, n int) string {
	if n <= 0 {
		return ""
	}
	out := ""
	for range n {
		out += s
	}
	return out
}
