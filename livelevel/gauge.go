package livelevel

import (
	"math"

	"example.org/tankhand/livelevel/site"
)

// Gauge turns readings into levels: robustly, with uncertainty, by the facts of the site sheet.
// It is not safe for concurrent use.
type Gauge struct{ sheet *site.Sheet }

// NewGauge returns a gauge for an installation; an empty sheet gives ullage only.
func NewGauge(sheet *site.Sheet) *Gauge { return &Gauge{sheet: sheet} }

// Add takes the next reading and returns the level as of it.
func (g *Gauge) Add(r Reading) Level {
	u, ok := r.Get(Ullage)
	if !ok {
		u = math.NaN()
	}
	return Level{Reading: r, How: Measured, Ullage: u, RawUllage: u}
}
