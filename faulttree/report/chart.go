package report

import (
	"math"
	"time"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/quantity"
)

// chart is the geometry of the level over time in a box of width x height (y grows downwards), the
// same for every format.
type chart struct {
	width, height            float64
	left, top, right, bottom float64 // of the plot inside the box
	lines                    [][]spot
	spread                   [][]spot // closed outlines of least to greatest
	pump                     [][2]float64
	restarts, dropouts       []float64
	xs, ys                   []tick
	unit                     string
}

type spot struct{ x, y float64 }

type tick struct {
	at   float64
	text string
}

// newChart lays points out; ok is false when there are fewer than two with a level.
func (r Report) newChart(width, height, left, bottom float64) (c chart, ok bool) {
	points := r.opt.Chart
	low, high, n := math.Inf(1), math.Inf(-1), 0
	for _, p := range points {
		if math.IsNaN(p.Height) || math.IsInf(p.Height, 0) {
			continue
		}
		n++
		low, high = math.Min(low, p.Height), math.Max(high, p.Height)
	}
	if n < 2 || !points[len(points)-1].At.After(points[0].At) {
		return chart{}, false
	}
	c = chart{width: width, height: height, left: left, top: 4, right: width - left/2, bottom: height - bottom} // half of the last time stands right of the plot
	unit := quantity.UnitFor(math.Max(math.Abs(low), math.Abs(high)), quantity.Length, r.opt.Units)
	c.unit = unit.Symbol
	per := unit.SI(1)
	first, step := niceRange(low/per, high/per)
	last := first + step*math.Ceil((high/per-first)/step)
	x := func(t time.Time) float64 {
		return c.left + (c.right-c.left)*t.Sub(points[0].At).Seconds()/points[len(points)-1].At.Sub(points[0].At).Seconds()
	}
	y := func(m float64) float64 {
		f := (m/per - first) / (last - first)
		return c.bottom - (c.bottom-c.top)*math.Min(1, math.Max(0, f))
	}
	for v := first; v <= last+step/2; v += step {
		c.ys = append(c.ys, tick{y(v * per), trimNumber(v)})
	}
	c.xs = timeTicks(points[0].At, points[len(points)-1].At, r.opt.Location, x)
	c.trace(points, x, y)
	return c, true
}

func (c *chart) trace(points []visit.Point, x func(time.Time) float64, y func(float64) float64) {
	var line, up, down []spot
	flush := func() {
		if len(line) > 0 {
			c.lines = append(c.lines, line)
		}
		if len(up) > 1 {
			for i := len(down) - 1; i >= 0; i-- {
				up = append(up, down[i])
			}
			c.spread = append(c.spread, up)
		}
		line, up, down = nil, nil, nil
	}
	for i, p := range points {
		px := x(p.At)
		if p.Pump {
			end := px
			if i+1 < len(points) {
				end = x(points[i+1].At)
			}
			c.pumpUntil(px, end)
		}
		if p.Restart {
			c.restarts = append(c.restarts, px)
		}
		if p.Dropout {
			c.dropouts = append(c.dropouts, px)
		}
		if math.IsNaN(p.Height) || math.IsInf(p.Height, 0) {
			flush()
			continue
		}
		line = append(line, spot{px, y(p.Height)})
		if p.High >= p.Low { // false for NaN
			up, down = append(up, spot{px, y(p.High)}), append(down, spot{px, y(p.Low)})
		}
	}
	flush()
}

// pumpUntil joins stretches that touch.
func (c *chart) pumpUntil(from, to float64) {
	if n := len(c.pump); n > 0 && c.pump[n-1][1] >= from-1e-9 {
		c.pump[n-1][1] = to
		return
	}
	c.pump = append(c.pump, [2]float64{from, to})
}

// niceRange starts at a round number and steps by 1, 2 or 5 times a power of ten, 3 to 8 steps.
func niceRange(low, high float64) (first, step float64) {
	span := high - low
	if span < 1e-3*math.Max(1, math.Abs(high)) {
		span = math.Max(0.01, math.Abs(high)/10)
		low -= span / 2
	}
	step = math.Pow(10, math.Floor(math.Log10(span/3)))
	for _, m := range []float64{1, 2, 5} {
		if span/(step*m) <= 6 {
			step *= m
			break
		}
	}
	return math.Floor(low/step) * step, step
}

var tickSteps = []time.Duration{time.Second, 2 * time.Second, 5 * time.Second, 10 * time.Second, 30 * time.Second, time.Minute,
	2 * time.Minute, 5 * time.Minute, 10 * time.Minute, 30 * time.Minute, time.Hour, 2 * time.Hour, 6 * time.Hour, 12 * time.Hour,
	24 * time.Hour, 48 * time.Hour, 7 * 24 * time.Hour}

func timeTicks(from, to time.Time, loc *time.Location, x func(time.Time) float64) []tick {
	step := to.Sub(from) / 5
	for _, s := range tickSteps {
		if to.Sub(from)/s <= 7 {
			step = s
			break
		}
	}
	layout := "15:04"
	switch {
	case step < time.Minute:
		layout = "15:04:05"
	case step >= 12*time.Hour:
		layout = "01-02 15h"
	}
	var out []tick
	for t := from.Truncate(step); !t.After(to); t = t.Add(step) {
		if !t.Before(from) {
			out = append(out, tick{x(t), t.In(loc).Format(layout)})
		}
	}
	return out
}
