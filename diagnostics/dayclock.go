package diagnostics

import (
	"time"

	"example.org/tankhand/livelevel"
)

// The day is counted in slots of ten minutes.
const (
	slotsOfDay  = 144
	slotMinutes = 10
	noSlot      = -1
)

// dayClock tells in which ten minutes of the day an item falls, by the feed's own clock. It looks at the
// calendar only when they are over, for that costs more than a reading may.
type dayClock struct {
	slot  int16
	until float64
	begun bool
	told  bool // a clock was seen that shows the time of day alone
}

// at is the slot of an item; noSlot where the feed does not tell the time of day.
func (c *dayClock) at(s *item, timed bool) int16 {
	if c.begun && s.t < c.until && s.t >= c.until-slotMinutes*60 {
		return c.slot
	}
	c.begun = true
	c.told = c.told || s.r.Has(livelevel.Clock)
	minute, ok := minuteOfDay(s.r, c.told)
	if !timed || !ok {
		c.slot, c.until = noSlot, s.t+slotMinutes
		return noSlot
	}
	c.slot = int16(minute / slotMinutes)
	c.until = s.t + 60*(slotMinutes-minute+slotMinutes*float64(c.slot))
	return c.slot
}

// minuteOfDay is the time of day of a reading, in minutes since midnight. An uptime and a count of intervals are
// dated from the beginning of 1970 and tell none; a clock that shows the time of day alone stands there too.
func minuteOfDay(r *livelevel.Reading, clock bool) (float64, bool) {
	if r.Time.IsZero() || !clock && uptimeEra(r.Time) {
		return 0, false
	}
	h, m, s := r.Time.Clock()
	return float64(60*h+m) + float64(s)/60 + float64(r.Time.Nanosecond())/6e10, true
}

// uptimeEra holds the times that a count from nought is given.
func uptimeEra(t time.Time) bool { return t.Unix() >= 0 && t.Unix() < 366*86400 }

// slotTime is the beginning of a slot as a person writes it.
func slotTime(slot int) string {
	return clockTime(time.Duration((slot%slotsOfDay)*slotMinutes) * time.Minute)
}

// isNight tells whether a slot lies between 22:00 and 06:00, when hardly anybody draws water.
func isNight(slot int16) bool { return slot >= 22*6 || slot >= 0 && slot < 6*6 }
