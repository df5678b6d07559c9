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
}

func newChecking(sheet *site.Sheet, window time.Duration) checking {
	c := checking{whole: diagnostics.NewMonitor(sheet, 0)}
	c.recent = c.whole
	if window > 0 {
		c.recent = diagnostics.NewMonitor(sheet, window)
	}
	return c
}

func (c *checking) add(l *livelevel.Level) {
	c.whole.Add(l)
	if c.recent != c.whole {
		c.recent.Add(l)
	}
}

func (c *checking) freeze(now time.Time) {
	c.whole.Freeze(now)
	if c.recent != c.whole {
		c.recent.Freeze(now)
	}
}

func (c *checking) thaw() {
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
