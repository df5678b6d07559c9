package dip

import (
	"fmt"
	"math"
)

// Correction turns a gauge's reading into a level by a straight line through two points.
type Correction struct{ Slope, Intercept float64 }

// TwoPoint is the correction by which the readings r1 and r2 become y1 and y2.
func TwoPoint(r1, y1, r2, y2 float64) (Correction, error) {
	slope := (y2 - y1) / (r2 - r1)
	if r1 == r2 || math.IsNaN(slope) || math.IsInf(slope, 0) {
		return Correction{}, fmt.Errorf("two-point calibration: the readings %g and %g do not tell two levels apart: take them farther from each other", r1, r2)
	}
	return Correction{Slope: slope, Intercept: y1 - slope*r1}, nil
}

// Apply corrects a reading.
func (c Correction) Apply(r float64) float64 { return c.Intercept + c.Slope*r }

// ApplyWithin corrects a reading and tells whether the level lies outside low to high: such a value is
// an extrapolation, to be shown as one and not clamped.
func (c Correction) ApplyWithin(r, low, high float64) (y float64, outside bool) {
	y = c.Apply(r)
	return y, y < min(low, high) || y > max(low, high)
}

// Record is what is kept of an adjustment: the gauge as found, what was set, and as left.
type Record struct {
	AsFound Report
	Set     Correction
	AsLeft  *Report // nil until the gauge was compared again
}
