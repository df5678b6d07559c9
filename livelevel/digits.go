package livelevel

import "math"

// digits works out the resolution of a feed from the values it sends.
type digits struct {
	last   float64
	step   int // index into decimalSteps of the coarsest that all values fit
	least  float64
	diffs  int
	seeded bool
}

var decimalSteps = [...]float64{0.01, 0.001, 0.0001, 0}

// add takes the next value as the feed sent it.
func (d *digits) add(v float64) {
	for s := decimalSteps[d.step]; s > 0 && math.Abs(v/s-math.Round(v/s)) > 1e-6; s = decimalSteps[d.step] {
		d.step++
	}
	if diff := math.Abs(v - d.last); d.seeded && diff > 1e-7 {
		if d.diffs++; d.diffs == 1 || diff < d.least {
			d.least = diff
		}
	}
	d.last, d.seeded = v, true
}

// resolution is the least step of the values: of their differences once there were enough of them,
// till then of their decimals.
func (d *digits) resolution() float64 {
	if d.diffs >= 20 {
		return min(d.least, 0.05)
	}
	return decimalSteps[d.step]
}
