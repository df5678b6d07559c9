package livelevel

import "time"

// clock turns the times of readings into seconds since the first, and knows how far apart reports
// come. A feed without times counts readings.
type clock struct {
	first    time.Time
	started  bool
	timeless bool
	now      float64
	report   float64
	reports  int
	spacing  float64 // s between reports, typically
}

// at is the time of a reading; it never runs backwards.
func (c *clock) at(r *Reading) float64 {
	if r.Time.IsZero() {
		c.timeless = true
		if r.Kind == Report {
			c.now++
		}
	} else {
		c.timeless = false
		c.move(r.Time)
	}
	if r.Kind == Report {
		c.space()
	}
	return c.now
}

func (c *clock) move(t time.Time) {
	if !c.started {
		c.first, c.started = t, true
	}
	s := t.Sub(c.first).Seconds()
	if s < c.now {
		// The line's own clock was set back: time goes on from here.
		c.first = t.Add(-time.Duration((c.now + c.spacing) * float64(time.Second)))
		s = c.now + c.spacing
	}
	c.now = s
}

func (c *clock) space() {
	dt := c.now - c.report
	c.report = c.now
	c.reports++
	switch c.reports {
	case 1:
	case 2:
		c.spacing = min(dt, 60)
	default:
		c.spacing += 0.1 * (min(dt, 4*c.spacing+0.05) - c.spacing)
	}
}

// freeze watches for a value that stays the same to the digit while the pump should move it.
type freeze struct {
	value, since float64
	pumped       bool // the pump ran all the time since
	moving       bool // and the level moved before
	n            int
	suspect      bool
}

func (f *freeze) add(v, now, slope float64, r *Reading) {
	on, sent := r.On(Pump)
	if v != f.value || f.n == 0 {
		*f = freeze{value: v, since: now, pumped: sent && on, moving: slope < -1e-4}
	}
	f.n++
	f.pumped = f.pumped && sent && on
	f.suspect = f.pumped && f.moving && f.n >= 10 && now-f.since > 30
}
