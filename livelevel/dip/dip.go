// Package dip compares a gauge with a dip tape: levels taken going up and coming down, what the gauge
// said as found and as left, and the two-point correction between. The terms are those of
// IEC 61298-2 (inaccuracy, hysteresis, non-repeatability, non-linearity), known here from secondary
// sources. Any unit will do as long as it is one and the same.
package dip

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Point is one level taken with the tape and what the gauge said at that moment.
type Point struct {
	Tape, Gauge float64
	Down        bool // taken while the level fell
}

// Error is what the gauge reads too much.
func (p Point) Error() float64 { return p.Gauge - p.Tape }

// Report is what a series says of a gauge. A figure that the series cannot tell is NaN: hysteresis
// needs levels both ways, non-repeatability the same level twice the same way, non-linearity three
// levels.
type Report struct {
	N                int
	Offset           float64 // error of the gauge at the lowest level, on the line through all points
	Span             float64 // relative error of the gauge's span: 0.01 reads 1 % too long
	Mean             float64 // mean error
	Inaccuracy       float64 // greatest error, with its sign
	Hysteresis       float64 // greatest difference between down and up at one level
	NonRepeatability float64 // greatest difference between readings at one level, one way
	NonLinearity     float64 // greatest departure of the mean error at a level from the straight line, with its sign
	Low, High        float64 // range of the tape
	Proposed         Correction
}

// bin is how near two tape readings are for one level: a share of the range.
const bin = 0.02

// Compare works out a report from a series; it needs two points at different levels.
func Compare(points []Point) (Report, error) {
	if err := check(points); err != nil {
		return Report{}, err
	}
	p := slices.Clone(points)
	slices.SortStableFunc(p, func(a, b Point) int {
		switch {
		case a.Tape < b.Tape:
			return -1
		case a.Tape > b.Tape:
			return 1
		}
		return 0
	})
	r := Report{N: len(p), Low: p[0].Tape, High: p[len(p)-1].Tape}
	if r.High-r.Low <= 0 {
		return Report{}, fmt.Errorf("comparing the gauge with the tape: all levels are %g: take at least two, far apart", r.Low)
	}
	levels := group(p, bin*(r.High-r.Low))
	r.errors(p)
	r.Hysteresis, r.NonRepeatability = bothWays(levels), repeats(levels)
	slope, at := line(p)
	r.Span, r.Offset = slope, at+slope*r.Low
	r.NonLinearity = bend(levels, slope, at)
	first, last := levels[0].mean(), levels[len(levels)-1].mean()
	var err error
	if r.Proposed, err = TwoPoint(first.Gauge, first.Tape, last.Gauge, last.Tape); err != nil {
		return r, err
	}
	return r, nil
}

func check(points []Point) error {
	if len(points) < 2 {
		return errors.New("comparing the gauge with the tape: two levels at least are needed: take one low, one high")
	}
	for i, p := range points {
		for _, v := range [...]float64{p.Tape, p.Gauge} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("comparing the gauge with the tape: point %d is no number: take it again or leave it out", i+1)
			}
		}
	}
	return nil
}

func (r *Report) errors(p []Point) {
	for _, q := range p {
		r.Mean += q.Error() / float64(len(p))
		if math.Abs(q.Error()) > math.Abs(r.Inaccuracy) {
			r.Inaccuracy = q.Error()
		}
	}
}

// level holds the points taken at one level.
type level []Point

func (l level) mean() Point {
	var m Point
	for _, p := range l {
		m.Tape += p.Tape / float64(len(l))
		m.Gauge += p.Gauge / float64(len(l))
	}
	return m
}

func (l level) way(down bool) level {
	var out level
	for _, p := range l {
		if p.Down == down {
			out = append(out, p)
		}
	}
	return out
}

func group(sorted []Point, width float64) []level {
	var out []level
	for _, p := range sorted {
		if n := len(out); n > 0 && p.Tape-out[n-1][0].Tape <= width {
			out[n-1] = append(out[n-1], p)
			continue
		}
		out = append(out, level{p})
	}
	return out
}

func bothWays(levels []level) float64 {
	most := math.NaN()
	for _, l := range levels {
		up, down := l.way(false), l.way(true)
		if len(up) == 0 || len(down) == 0 {
			continue
		}
		d := math.Abs(down.mean().Error() - up.mean().Error())
		if math.IsNaN(most) || d > most {
			most = d
		}
	}
	return most
}

func repeats(levels []level) float64 {
	most := math.NaN()
	for _, l := range levels {
		for _, way := range [...]level{l.way(false), l.way(true)} {
			if len(way) < 2 {
				continue
			}
			lo, hi := math.Inf(1), math.Inf(-1)
			for _, p := range way {
				lo, hi = min(lo, p.Error()), max(hi, p.Error())
			}
			if math.IsNaN(most) || hi-lo > most {
				most = hi - lo
			}
		}
	}
	return most
}

// line fits the error over the tape by least squares.
func line(p []Point) (slope, at0 float64) {
	n := float64(len(p))
	var mx, my, sxx, sxy float64
	for _, q := range p {
		mx += q.Tape / n
		my += q.Error() / n
	}
	for _, q := range p {
		sxx += (q.Tape - mx) * (q.Tape - mx)
		sxy += (q.Tape - mx) * (q.Error() - my)
	}
	slope = sxy / sxx
	return slope, my - slope*mx
}

func bend(levels []level, slope, at0 float64) float64 {
	if len(levels) < 3 {
		return math.NaN()
	}
	most := 0.0
	for _, l := range levels {
		m := l.mean()
		if d := m.Error() - at0 - slope*m.Tape; math.Abs(d) > math.Abs(most) {
			most = d
		}
	}
	return most
}
