package dialect

// goesByClock tells whether a column rises as a clock does. How far its rate may be off depends on what else
// says so: its label, steps that are all alike, or a rate that never changes. Arrivals may come in bursts.
func (f *features) goesByClock(named bool) bool {
	return (named || f.exact) && clockRate(f.perSecond, 1.8) || f.evenly && clockRate(f.perSecond, 1.1)
}

const wholeTank = 130 // percent; a level sent as such never is more

// clockRate tells whether a rate is that of a clock in seconds, milliseconds or microseconds.
func clockRate(perSecond, within float64) bool {
	for _, s := range [...]float64{1, 1e3, 1e6} {
		if r := perSecond / s; r > 1/within && r < within {
			return true
		}
	}
	return false
}

// counts is what speaks against an uptime in a column that rises by one with each report, where no label
// says that it is a time: it numbers the reports.
func counts(f *features, c *series, u *unit, label float64) float64 {
	if c.unit != nil || label >= partWord {
		return 0
	}
	if c.number && label <= 0 {
		return 2.5
	}
	if label <= 0 && f.perSecond == 0 && f.hi <= wholeTank && !(f.exact && f.strict > 0.9) {
		return 2.5 // by no arrivals, what rises steadily may be a tank that fills
	}
	if label <= 0 && f.n < 20 && hasLetter([]byte(c.label)) {
		return 2.5 // a few values that rise under a name not known may be anything
	}
	if f.perSecond > 0 && !f.goesByClock(label > 0) {
		return 2.5
	}
	if f.strict < 0.9 || f.step != 1 || label > 0 {
		return 0
	}
	if r := f.perSecond; r > 0 && (u == nil || r*u.scale < 0.7 || r*u.scale > 1.4) || hasLetter([]byte(c.label)) {
		return 2.5
	}
	return 0
}

func uptimeScore(f *features, u *unit) float64 {
	if f.n < 3 {
		return 0
	}
	ticks := f.rising > 0.95 && f.integer && f.step == 1 && f.hi > f.lo // seconds, several reports in each
	if !ticks && !(f.rising > 0.85 && f.strict > 0.5) || f.lo < 0 {
		return -3.5
	}
	s := 1.0
	if f.regular {
		s = 1.8
	}
	if f.perSecond > 0 && u != nil {
		if r := f.perSecond * u.scale; r > 0.7 && r < 1.4 {
			s += 1.5
		} else if r > 0.1 {
			s -= 0.5
		}
	}
	return s
}
