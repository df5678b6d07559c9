package visit

import (
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// checking runs the checks twice over: the recent window is what a screen shows; all that was seen
// since something was last done to the installation is what counts as evidence. A fault that comes and
// goes must not lose its evidence because it is quiet just now.
type checking struct {
	recent, whole *diagnostics.Monitor
	lane          *lane           // of a survey; nil where a technician watches
	level         livelevel.Level // the present one, without a lane
}

func newChecking(sheet *site.Sheet, window time.Duration, hours diagnostics.Hours) checking {
	c := checking{whole: diagnostics.NewMonitor(sheet, 0)}
	c.whole.Only(hours)
	c.recent = c.whole
	if window > 0 {
		c.recent = diagnostics.NewMonitor(sheet, window)
		c.recent.Only(hours)
	} else {
		c.lane = newLane(c.whole)
	}
	return c
}

// next is room for the next level.
func (c *checking) next() *livelevel.Level {
	if c.lane != nil {
		return c.lane.next()
	}
	return &c.level
}

// add gives the checks the level that next made room for.
func (c *checking) add() {
	if c.lane != nil {
		return // it goes with its batch
	}
	c.whole.Add(&c.level)
	c.recent.Add(&c.level)
}

// findings are those of all that was seen, up to now.
func (c *checking) findings(now time.Time) []diagnostics.Finding {
	if c.lane != nil {
		c.lane.wait()
	}
	return c.whole.Findings(now)
}

// close ends what runs beside the session.
func (c *checking) close() {
	if c.lane != nil {
		c.lane.close()
	}
}

func (c *checking) freeze(now time.Time) {
	if c.lane != nil {
		c.lane.wait()
	}
	c.whole.Freeze(now)
	if c.recent != c.whole {
		c.recent.Freeze(now)
	}
}

func (c *checking) thaw() {
	if c.lane != nil {
		c.lane.wait()
	}
	c.whole.Thaw()
	if c.recent != c.whole {
		c.recent.Thaw()
	}
}

// shown are the findings for a screen, given those that count as evidence.
func (c *checking) shown(now time.Time, evidence []diagnostics.Finding) []diagnostics.Finding {
	if c.recent == c.whole {
		return evidence
	}
	return c.recent.Findings(now)
}
