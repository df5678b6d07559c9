package dialect

import (
	"math"
	"time"

	"example.org/tankhand/livelevel"
)

// clockState gives times to the lines of a log without arrival times, from the line's own clock.
type clockState struct {
	has  bool // the dialect has a field for it
	base float64
	up   float64
	last time.Time
	day  float64
}

func (c *clockState) find(plans []*plan) {
	for _, p := range plans {
		c.has = c.has || p.role == livelevel.Clock || p.role == livelevel.Uptime
	}
}

// or is the arrival, or the last time known.
func (c *clockState) or(at time.Time) time.Time {
	if at.IsZero() {
		return c.last
	}
	return at
}

// stamp is the time of a report: its arrival; else its own clock; else its uptime, carried on over
// restarts. Times of a log without a date count from 1970.
func (c *clockState) stamp(r *livelevel.Reading, at time.Time, restarted bool) time.Time {
	if !at.IsZero() {
		c.last = at
		return at
	}
	if v, ok := r.Get(livelevel.Clock); ok {
		if v < aDay { // a time of day: midnight passes
			if !c.last.IsZero() && v+c.day < seconds(c.last)-aDay/2 {
				c.day += aDay
			}
			v += c.day
		}
		c.last = fromSeconds(v)
		return c.last
	}
	if up, ok := r.Get(livelevel.Uptime); ok {
		if up < c.up && (restarted || wrapped(c.up, up)) {
			c.base += c.up // the pause of the restart is not known
		}
		c.up = up
		c.last = fromSeconds(c.base + up)
		return c.last
	}
	return c.last
}

func seconds(t time.Time) float64 { return float64(t.UnixNano()) / 1e9 }

func fromSeconds(v float64) time.Time {
	s := math.Floor(v)
	return time.Unix(int64(s), int64((v-s)*1e9)).UTC()
}
