package dialect

import (
	"math"
	"time"

	"example.org/tankhand/livelevel"
)

// pace is how a clock of the controller goes from report to report.
type pace struct {
	role    livelevel.Role
	steps   [9]float64 // the last ones
	median  float64    // of them, 0 while too few are known
	inverse float64    // 1/median
	least   float64    // the usual step is between these two, where all are of one size
	most    float64
	even    bool // they are all of one size
	coarse  bool // some were nothing
	n       int
	place   int     // of the next step
	others  int     // steps of another size among the usual ones
	changed bool    // the steps are not those of last time
	last    float64 // value of the clock
	known   bool
}

// usual works out the median of the last steps, and whether they are all of one size (the largest two left out, for
// lines that were lost).
func (d *pace) usual() {
	s := d.steps
	for i := 1; i < len(s); i++ {
		for j := i; j > 0 && s[j] < s[j-1]; j-- {
			s[j], s[j-1] = s[j-1], s[j]
		}
	}
	d.median = s[len(s)/2]
	d.inverse = 1 / d.median
	if d.even = !d.coarse && s[len(s)-3]-s[0] < 0.1*d.median; d.even {
		d.least, d.most = 0.8*d.median, 1.2*d.median
	} else {
		d.least, d.most = 0, 0
	}
}

// goes takes the clock of a believed report.
func (d *pace) goes(now float64) {
	v := now - d.last
	if v > d.least && v < d.most { // the usual step
		d.last, d.others = now, max(d.others-1, 0)
		return
	}
	if d.even {
		d.last, d.others = now, d.others+2
		if d.others < manyOthers {
			return
		}
		d.even, d.least, d.most, d.place, d.others = false, 0, 0, 0, 0 // its pace is another now
	}
	known := d.known
	d.last, d.known = now, true
	if !known {
		return
	}
	if v == 0 {
		d.coarse, d.even, d.most = true, false, 0 // several reports in one tick of the counter
	}
	if v <= 0 {
		return
	}
	if math.Abs(d.steps[d.place]-v) > 1e-6*v {
		d.steps[d.place], d.changed = v, true
	}
	d.n++
	if d.place++; d.place == len(d.steps) {
		if d.place = 0; d.changed {
			d.usual()
			d.changed = false
		}
	}
}

// gait is how a clock goes on from one report to another.
type gait uint8

const (
	steady  gait = iota
	skipped      // ahead by some whole steps: lines were lost, or a digit is another
	leapt        // back, or ahead of both its usual step and the time that passed
)

// gait judges a step of the clock.
func (d *pace) gait(before, now float64, passed time.Duration) gait {
	step := now - before
	if d.role == livelevel.Clock && step < -dayHalf && before < aDay {
		step += aDay // midnight
	}
	if step < 0 && fallen(before, before+step) {
		if d.role == livelevel.Uptime && wrapped(before, now) {
			return steady
		}
		return leapt
	}
	if step > d.least && step < d.most {
		return steady // the usual step
	}
	took := passed.Seconds()
	if d.even && step < 12*d.median {
		times := step * d.inverse
		off := math.Abs(times - math.Floor(times+0.5))
		if step < 0.7*d.median || off > 0.3 {
			return leapt
		}
		if passed > 0 && math.Abs(took-step) < 0.5*d.median {
			return steady
		}
		return skipped
	}
	slop := 0.0
	if passed > 0 {
		slop = took*2 + clockSlop
	}
	if d.median > 0 && step > 12*d.median && step > slop {
		return leapt
	}
	return steady
}

const (
	manyOthers = 12 // where more than every third step is another

	aDay    = 24 * hour
	dayHalf = aDay / 2
)

// goesOn judges a report by its clock and by its uptime.
func (dec *Decoder) goesOn(r *livelevel.Reading, at time.Time) gait {
	worst := steady
	for i := range dec.paces {
		d := &dec.paces[i]
		v, ok := r.Get(d.role)
		if step := v - d.last; !ok || step > d.least && step < d.most {
			continue
		}
		if s := &dec.restart; d.known && !s.pending {
			worst = max(worst, d.gait(d.last, v, passed(s.last, at)))
		}
	}
	return worst
}

// onwards tells whether a report goes on from the one that was held by their clocks.
func (dec *Decoder) onwards(held, r *livelevel.Reading) bool {
	for i := range dec.paces {
		d := &dec.paces[i]
		a, ok := held.Get(d.role)
		b, ok2 := r.Get(d.role)
		if ok && ok2 && (b < a && !(d.role == livelevel.Clock && b < a-dayHalf) || d.gait(a, b, passed(held.Time, r.Time)) == leapt) {
			return false
		}
	}
	return true
}
