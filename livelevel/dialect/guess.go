package dialect

import (
	"math"
	"slices"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// dims are the dimensions a role's unit can have; the first is the usual one.
var dims = map[livelevel.Role][]dimension{
	livelevel.Ullage: {length}, livelevel.UllageRaw: {length}, livelevel.LevelHeight: {length}, livelevel.FullMark: {length},
	livelevel.EmptyMark: {length}, livelevel.Echo: {duration}, livelevel.LevelPercent: {percent}, livelevel.VolumeRole: {cubic},
	livelevel.Supply: {voltage}, livelevel.MotorCurrent: {current}, livelevel.FlowRole: {flowRate}, livelevel.AirTemperature: {celsius},
	livelevel.Humidity: {percent}, livelevel.Uptime: {duration}, livelevel.EchoQuality: {noDim, percent}, livelevel.LowSet: {percent},
	livelevel.FullSet: {percent}, livelevel.Pump: {noDim}, livelevel.Mode: {noDim}, livelevel.Demand: {noDim}, livelevel.Button: {noDim},
	livelevel.ResetCause: {noDim}, livelevel.Fault: {noDim},
}

// tells is what a unit says by itself about the role.
var tells = map[livelevel.Role]float64{
	livelevel.Ullage: 1.6, livelevel.UllageRaw: 1.6, livelevel.LevelHeight: 1.0, livelevel.Echo: 1.0, livelevel.LevelPercent: 1.5, livelevel.VolumeRole: 2.2,
	livelevel.Supply: 2.4, livelevel.MotorCurrent: 2.2, livelevel.FlowRole: 2.4, livelevel.AirTemperature: 2.6, livelevel.Humidity: 0.6, livelevel.Uptime: 1.0,
	livelevel.EchoQuality: 0.3, livelevel.LowSet: 0.3, livelevel.FullSet: 0.3, livelevel.FullMark: 0.3, livelevel.EmptyMark: 0.3,
}

// guess is one role for a column, with its unit.
type guess struct {
	role     livelevel.Role
	score    float64
	unit     *unit
	rival    *unit   // the second best unit
	unitSure float64 // 0..1
}

const impossible = -100

// judge weighs one role for a column.
func (c *series) judge(role livelevel.Role, e *evidence, f *features, sheet *site.Sheet) guess {
	g := guess{role: role, score: e[role], unitSure: 1}
	if role == livelevel.Uptime && e[role] <= 0 && slices.Max(e[:]) >= partWord {
		g.score -= 1.5 // the label says that it is something else
	}
	if role == livelevel.Clock {
		g.score += clockScore(f, e[role])
		g.unit = findUnit("clock")
		return g
	}
	if f.stamps {
		if g.score += impossible; role == livelevel.Uptime && !f.full && e[role] >= strongWord {
			g.score = e[role] + 1
		}
		return g
	}
	u := c.unit
	if u == nil || c.units*2 < len(c.vals) {
		u = labelUnit(c.label)
	}
	switch {
	case u != nil && !allows(role, u.dim):
		g.score += impossible
	case u != nil:
		g.unit = u
		g.score += tells[role]
	default:
		g.unit, g.rival, g.unitSure = inferUnit(role, f, sheet)
	}
	g.score += behaves(role, f, c, g.unit, e[role])
	return g
}

func clockScore(f *features, label float64) float64 {
	switch {
	case f.stamps && f.full:
		return 4
	case f.stamps:
		return 3
	case f.n > 0 && f.lo > 1e9 && f.hi < 4e9 && f.rising > 0.9 && label > 0:
		return 1.5
	}
	return impossible
}

func allows(role livelevel.Role, d dimension) bool {
	for _, x := range dims[role] {
		if x == d {
			return true
		}
	}
	return role == livelevel.Ignore
}

// labelUnit finds a unit in a label, as in dist_mm, "Level (%)", temp_c: its last word, behind another. A
// unit of several letters may stand alone.
func labelUnit(label string) *unit {
	words := labelWords(label)
	for i := len(words) - 1; i >= 0; i-- {
		w := words[i]
		if w == "%" {
			return findUnit(w)
		}
		u := unitIndex[w]
		if u == nil || u.dim == absolute || len(w) == 1 && i == 0 || i < len(words)-1 && len(w) < 2 {
			continue
		}
		if i == 0 && (w == "in" || w == "min" || w == "up" || w == "grad" || w == "std" || w == "volt" || w == "volts" || w == "amp" || w == "millis" || w == "micros" || w == "d" || w == "rh" || w == "percent" || w == "pct") && len(words) > 1 {
			continue
		}
		if w == "min" && i < len(words) && anyOf(words, " level temp set off on max ") {
			continue
		}
		return u
	}
	return nil
}

// behaves weighs what the values do.
func behaves(role livelevel.Role, f *features, c *series, u *unit, label float64) float64 {
	words := f.states + f.otherWords
	switch role {
	case livelevel.Pump, livelevel.Demand, livelevel.Button, livelevel.Mode:
		return flagScore(role, f)
	case livelevel.ResetCause, livelevel.Fault:
		if f.otherWords+f.states > 0 && f.n == 0 || f.n > 0 && f.integer && role == livelevel.Fault {
			return 0
		}
		return -2
	}
	if f.n == 0 && f.lostWords > 0 && words == 0 { // nothing but lost echoes
		return -0.3
	}
	if f.n == 0 || words > f.n/4 {
		return impossible
	}
	if role == livelevel.Uptime {
		return uptimeScore(f, u) - counts(f, c, u, label)
	}
	s := rangeScore(role, f, u)
	switch {
	case !f.regular || c.unit != nil && c.unit.dim != duration: // what has a unit is no clock and no counter
	case label < partWord:
		s -= 2.5
	default:
		s -= 0.5
	}
	if role == livelevel.Echo && c.unit == nil && !f.integer {
		s -= 1.2 // times of flight are counted in whole microseconds
	}
	return s
}

func flagScore(role livelevel.Role, f *features) float64 {
	switch {
	case f.n == 0 && f.states > 0 && f.otherWords == 0:
		return 0.8
	case f.n == 0 && f.otherWords > 0 && f.states >= f.otherWords:
		return 0.2
	case f.two && role == livelevel.Pump:
		return -0.3
	case f.n > 0 && f.binary && f.states+f.otherWords == 0:
		return 0.6
	case f.n > 0 && role == livelevel.Mode && f.integer && f.hi <= 3 && f.lo >= 0:
		return -0.5
	}
	return impossible
}

// typical ranges in SI in which values of a role usually lie (common practice, no source).
var typical = map[livelevel.Role][2]float64{
	livelevel.Ullage: {0.1, 6}, livelevel.UllageRaw: {0.1, 6}, livelevel.Echo: {0.5e-3, 0.04}, livelevel.LevelHeight: {0, 8},
	livelevel.LevelPercent: {-5, 110}, livelevel.VolumeRole: {0, 200}, livelevel.Supply: {2.5, 30}, livelevel.MotorCurrent: {0, 40},
	livelevel.FlowRole: {0, 0.02}, livelevel.AirTemperature: {-25, 60}, livelevel.Humidity: {5, 100.5}, livelevel.EchoQuality: {0, 5000},
	livelevel.LowSet: {0, 100}, livelevel.FullSet: {0, 120}, livelevel.FullMark: {0.02, 3}, livelevel.EmptyMark: {0.1, 8},
}

func rangeScore(role livelevel.Role, f *features, u *unit) float64 {
	lo, hi := f.lo, f.hi
	if u != nil {
		lo, hi = u.si(lo), u.si(hi)
	}
	s := 0.0
	if t, ok := typical[role]; ok {
		switch {
		case f.n-len(f.lost) <= 0 || allLost(f):
		case lo >= t[0] && hi <= t[1]:
			s += 0.4
		case u != nil && u.si(f.med) >= t[0] && u.si(f.med) <= t[1]:
		default:
			s -= 1.2
		}
	}
	switch role {
	case livelevel.FullMark, livelevel.EmptyMark, livelevel.LowSet, livelevel.FullSet:
		if f.lo != f.hi && f.n > 4 {
			s -= 3.5
		} else if !f.constant && f.n > 4 {
			s -= 2
		}
	case livelevel.Ullage, livelevel.LevelPercent, livelevel.LevelHeight, livelevel.Echo:
		if f.n > 6 && f.strict > 0.97 && f.integer && f.step == 1 {
			s -= 1.5 // a counter
		}
		if f.binary && f.n > 4 && !f.constant {
			s -= 1
		}
	}
	return s
}

func allLost(f *features) bool { return f.n > 0 && f.hi <= 0 }

// inferUnit guesses the unit of a bare number by its size and resolution, and by the site sheet.
func inferUnit(role livelevel.Role, f *features, sheet *site.Sheet) (best, rival *unit, sure float64) {
	names := candidates[role]
	if len(names) == 0 {
		return nil, nil, 1
	}
	top, second, sum := -1.0, -1.0, 0.0
	for _, cand := range names {
		u := findUnit(cand.name)
		w := cand.prior * fits(role, f, u, sheet)
		sum += w
		switch {
		case w > top:
			second, rival = top, best
			top, best = w, u
		case w > second:
			second, rival = w, u
		}
	}
	if sum <= 0 {
		return best, rival, 0.5
	}
	return best, rival, top / sum
}

type candidate struct {
	name  string
	prior float64
}

// candidates are the units in which controllers send a role, with how often (judgement, no source).
var candidates = map[livelevel.Role][]candidate{
	livelevel.Ullage: {{"cm", 1.2}, {"mm", 1}, {"m", 1}, {"in", 0.3}}, livelevel.UllageRaw: {{"cm", 1.2}, {"mm", 1}, {"m", 1}, {"in", 0.3}},
	livelevel.LevelHeight: {{"cm", 1.2}, {"mm", 1}, {"m", 1}, {"in", 0.3}}, livelevel.FullMark: {{"cm", 1.2}, {"mm", 1}, {"m", 1}, {"in", 0.3}},
	livelevel.EmptyMark: {{"cm", 1.2}, {"mm", 1}, {"m", 1}, {"in", 0.3}}, livelevel.Echo: {{"us", 1}, {"ms", 0.3}},
	livelevel.LevelPercent: {{"%", 1}, {"fraction", 0.2}, {"permille", 0.05}}, livelevel.VolumeRole: {{"l", 1}, {"m3", 0.5}, {"gal", 0.1}},
	livelevel.Supply: {{"V", 1}, {"mV", 0.6}}, livelevel.MotorCurrent: {{"A", 1}, {"mA", 0.4}},
	livelevel.FlowRole: {{"l/min", 1}, {"m3/h", 0.6}, {"l/h", 0.1}, {"l/s", 0.1}}, livelevel.AirTemperature: {{"degC", 1}, {"degF", 0.15}},
	livelevel.Humidity: {{"%", 1}}, livelevel.LowSet: {{"%", 1}}, livelevel.FullSet: {{"%", 1}}, livelevel.EchoQuality: {{"%", 1}},
	livelevel.Uptime: {{"ms", 1}, {"s", 0.9}, {"us", 0.02}, {"min", 0.02}},
}

// near is a distance within which most sensors over water cannot measure (blanking distance of sealed ones
// 0.2 to 0.3 m; common practice, no source): a unit that puts the water there is less likely.
const near = 0.2

// fits is how well a unit fits the values, 0..1.
func fits(role livelevel.Role, f *features, u *unit, sheet *site.Sheet) float64 {
	if role == livelevel.Uptime {
		return fitsClock(f, u)
	}
	t, ok := typical[role]
	if !ok || f.n == 0 || allLost(f) {
		return 0.5
	}
	w := 1.0
	lo, med, usual, hi := u.si(f.lo), u.si(f.med), u.si(f.usual), u.si(f.hi)
	if med < t[0] || med > t[1] {
		w *= 0.02
	} else if lo < t[0]*0.5 || hi > t[1]*1.5 {
		w *= 0.3
	}
	if u.dim == length {
		w *= resolution(u.scale * math.Pow(10, -float64(f.decimals)))
		w *= onSite(role, med, usual, sheet) // a spike may lie anywhere
		if role == livelevel.Ullage && med < near {
			w *= 0.35
		}
	}
	if u.dim == percent && u.scale == 100 && f.decimals < 2 {
		w *= 0.05
	}
	if u.dim == percent && u.scale == 1 && f.decimals >= 2 && !f.constant && f.hi < 3 {
		w *= 0.05 // a tank that is never filled to three hundredths, told to a ten-thousandth
	}
	if u.name == "m3" && f.decimals == 0 || u.name == "m3/h" && f.decimals == 0 || u.name == "mV" && f.decimals > 1 {
		w *= 0.1
	}
	return w
}

// resolution is how likely a controller writes lengths in steps of r metres.
func resolution(r float64) float64 {
	switch {
	case r > 0.3:
		return 0.01
	case r > 0.05:
		return 0.08
	case r > 0.02:
		return 0.4
	case r > 0.005:
		return 0.8
	case r > 0.0005:
		return 1
	case r > 0.00005:
		return 0.6
	}
	return 0.2
}

// pastBottom is how far below the bottom of an empty tank air warmer or colder than allowed for may put it.
const pastBottom = 1.06

// onSite uses the site sheet: most of the time the water is between the overflow and the tank's bottom.
func onSite(role livelevel.Role, med, usual float64, sheet *site.Sheet) float64 {
	if sheet == nil || !sheet.Sensor.FaceHeight.Known() {
		return 1
	}
	face := sheet.Sensor.FaceHeight.V
	switch role {
	case livelevel.Ullage, livelevel.UllageRaw, livelevel.EmptyMark, livelevel.FullMark:
		if usual > face*1.15 || usual < face*0.02 || med > face*pastBottom {
			return 0.03
		}
		if of := sheet.Tank.Overflow; of.Known() && isEcho(role) && med < 0.8*(face-of.V) {
			return 0.03
		}
	case livelevel.LevelHeight:
		if usual > face*1.1 {
			return 0.03
		}
	}
	return 1
}

func fitsClock(f *features, u *unit) float64 {
	if f.perSecond > 0 {
		r := f.perSecond * u.scale
		if r > 0.6 && r < 1.6 {
			return 1
		}
		return 0.02
	}
	step := f.step * u.scale
	switch {
	case f.step == 0:
		return 0.3
	case step >= 0.02 && step <= 120:
		return 1
	case step < 0.005:
		return 0.1
	}
	return 0.3
}
