package draw

import (
	"math"
	"strings"
	"time"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/theme"
)

// Trend draws the level over the last stretch: w columns, h rows of curve, below them one row in
// which the relay (█ on) and restarts (R) are marked. Seven bits use one dot a column.
func Trend(points []visit.Point, now time.Time, over time.Duration, u Units, w, h int, seven bool) Block {
	if w < 12 || h < 3 {
		return Block{}.Fit(w, h)
	}
	cols := columns(points, now, over, 2*w)
	lo, hi := bounds(cols)
	head := trendHead(lo, hi, over, u)
	if !known(lo) {
		return Block{head.Cut(w), Of(theme.Unknown, " ? no level in this stretch").Cut(w)}.Fit(w, h)
	}
	body := braille(cols, lo, hi, w, h-2)
	if seven {
		body = dots(cols, lo, hi, w, h-2)
	}
	return append(append(Block{head.Cut(w)}, body...), events(cols, w)).Fit(w, h)
}

func trendHead(lo, hi float64, over time.Duration, u Units) Line {
	head := Of(theme.Dim, " "+stretch(over))
	if known(lo) {
		head = Join(head, "  ", Of(theme.Plain, u.Length(lo)+" to "+u.Length(hi)+" deep"))
	}
	return head
}

func stretch(d time.Duration) string {
	switch {
	case d >= time.Hour:
		return "60 min"
	case d >= 10*time.Minute:
		return "10 min"
	}
	return "1 min"
}

// column is what fell into one half column of the picture.
type column struct {
	low, high     float64
	some          bool
	pump, restart bool
}

func columns(points []visit.Point, now time.Time, over time.Duration, n int) []column {
	cols := make([]column, n)
	for i := range cols {
		cols[i].low, cols[i].high = math.NaN(), math.NaN()
	}
	from := now.Add(-over)
	for k, p := range points {
		i := int(float64(p.At.Sub(from)) / float64(over) * float64(n))
		if p.At.Before(from) || i < 0 || i >= n {
			continue
		}
		cols[i].take(p)
		if j := after(points, k, from, over, n); known(p.Height) && j-i < 12 { // hold over gaps of thinning only
			for ; i < j && i < n; i++ {
				cols[i].take(visit.Point{Height: p.Height, Low: p.Height, High: p.Height, Pump: p.Pump})
			}
		}
	}
	return cols
}

func after(points []visit.Point, k int, from time.Time, over time.Duration, n int) int {
	if k+1 >= len(points) {
		return 0
	}
	return int(float64(points[k+1].At.Sub(from)) / float64(over) * float64(n))
}

func (c *column) take(p visit.Point) {
	c.some = true
	c.pump = c.pump || p.Pump
	c.restart = c.restart || p.Restart
	for _, v := range []float64{p.Height, p.Low, p.High} {
		if known(v) {
			c.low, c.high = least(c.low, v), -least(-c.high, -v)
		}
	}
}

func least(a, b float64) float64 {
	if !known(a) || b < a {
		return b
	}
	return a
}

// bounds are the least and greatest level, at least a centimetre apart so that noise is not
// blown up to a storm.
func bounds(cols []column) (lo, hi float64) {
	lo, hi = math.NaN(), math.NaN()
	for _, c := range cols {
		if known(c.low) {
			lo, hi = least(lo, c.low), -least(-hi, -c.high)
		}
	}
	if known(lo) && hi-lo < 0.01 {
		mid := (lo + hi) / 2
		lo, hi = mid-0.005, mid+0.005
	}
	return lo, hi
}

// brailleDots are the bits of a braille cell by column and row from the top (Unicode, block U+2800).
var brailleDots = [2][4]rune{{0x01, 0x02, 0x04, 0x40}, {0x08, 0x10, 0x20, 0x80}}

func braille(cols []column, lo, hi float64, w, h int) Block {
	out := make(Block, h)
	for r := range out {
		var b strings.Builder
		for x := range w {
			cell := rune(0x2800)
			for s := range 2 {
				top, bottom, ok := dotSpan(cols[2*x+s], lo, hi, 4*h)
				for y := range 4 {
					if at := 4*r + y; ok && at >= top && at <= bottom {
						cell |= brailleDots[s][y]
					}
				}
			}
			if cell == 0x2800 {
				cell = ' '
			}
			b.WriteRune(cell)
		}
		out[r] = Line{{b.String(), theme.Water}}
	}
	return out
}

// dotSpan is the first and last of n dots, from the top, that a column covers.
func dotSpan(c column, lo, hi float64, n int) (top, bottom int, ok bool) {
	if !known(c.low) {
		return 0, 0, false
	}
	at := func(v float64) int { return int(math.Round((hi - v) / (hi - lo) * float64(n-1))) }
	return at(c.high), at(c.low), true
}

func dots(cols []column, lo, hi float64, w, h int) Block {
	out := make(Block, h)
	for r := range out {
		row := make([]byte, w)
		for x := range w {
			row[x] = ' '
			c := cols[2*x]
			if !known(c.low) {
				c = cols[2*x+1]
			}
			if top, bottom, ok := dotSpan(c, lo, hi, 3*h); ok && bottom >= 3*r && top <= 3*r+2 {
				row[x] = "'-."[min(2, max(0, (top+bottom)/2-3*r))]
			}
		}
		out[r] = Line{{string(row), theme.Water}}
	}
	return out
}

func events(cols []column, w int) Line {
	var out Line
	add := func(s string, ink theme.Ink) {
		if k := len(out) - 1; k >= 0 && out[k].ink == ink {
			out[k].text += s
			return
		}
		out = append(out, Span{s, ink})
	}
	for x := range w {
		a, b := cols[2*x], cols[2*x+1]
		switch {
		case a.restart || b.restart:
			add("R", theme.Bad)
		case a.pump || b.pump:
			add("█", theme.Bar)
		case a.some || b.some:
			add("▁", theme.Dim)
		default:
			add(" ", theme.Dim)
		}
	}
	return out
}
