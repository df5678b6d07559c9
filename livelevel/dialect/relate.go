package dialect

import (
	"math"
	"slices"

	"example.org/tankhand/livelevel"
)

// relate lets columns speak for each other: a percent falls as the distance rises, a flag matches rises.
func (t *table) relate(cols []*scored) {
	t.rare(cols)
	twins(cols)
	alone(cols)
	settings(cols)
	unlabelled(cols)
	for _, a := range cols {
		if a.f.constant || a.f.n < 6 || a.f.stamps {
			continue
		}
		for _, b := range cols {
			if a == b || b.f.constant || b.f.n < 6 && !b.isFlag() || b.f.stamps {
				continue
			}
			t.pair(a, b)
		}
	}
}

// rare marks the columns that stand in few of the lines: damage and other lines make such.
func (t *table) rare(cols []*scored) {
	for _, s := range cols {
		if s.rare = t.rows > 20 && s.c.seen*6 < t.rows; s.rare {
			for _, r := range levelRoles {
				s.bonus[r] -= 2.5
			}
		}
	}
}

// isFlag tells a column that has two states.
func (s *scored) isFlag() bool { return s.f.n > 0 && s.f.binary || s.f.n == 0 && s.f.two }

const driven = 6 // standard errors that make it sure that a flag moves the water

// pair judges b beside a.
func (t *table) pair(a, b *scored) {
	if b.isFlag() && !a.isFlag() {
		t.moves(a, b)
		return
	}
	if a.f.strict > 0.9 || b.f.strict > 0.9 || a.f.binary || b.f.n < 6 {
		return
	}
	r, n := against(a.c, b.c, a.f.lost, b.f.lost)
	if n < 8 {
		return
	}
	inPercent := b.f.lo >= -10 && b.f.hi <= 130
	if r < -0.9 && a.fillsUp(b) {
		return
	}
	switch {
	case r < -0.9 && inPercent && (b.c.unit == nil || b.c.unit.dim == percent):
		b.bonus[livelevel.LevelPercent] = max(b.bonus[livelevel.LevelPercent], 1.6)
		if b.c.unit == nil && b.f.hi < 3 { // a height in metres, or a share of one: more reports will tell
			b.bonus[livelevel.LevelHeight] = max(b.bonus[livelevel.LevelHeight], 1.6)
		}
		a.bonus[livelevel.Ullage] = max(a.bonus[livelevel.Ullage], 1.2)
		a.bonus[livelevel.Echo] = max(a.bonus[livelevel.Echo], 0.6)
		if b.c.unit != nil {
			a.bonus[livelevel.LevelHeight] = -2 // what falls while the tank fills is no height
		}
	case r < -0.9:
		b.bonus[livelevel.LevelHeight] = max(b.bonus[livelevel.LevelHeight], 0.6)
		a.bonus[livelevel.Ullage] = max(a.bonus[livelevel.Ullage], 0.6)
	}
}

// moves judges a flag by what the water does while it is on.
func (t *table) moves(a, flag *scored) {
	states := flag.c.states()
	if states == nil {
		return
	}
	switch d := drive(a.c, states, a.f.lost); {
	case d > driven && flag.f.n > 0:
		flag.bonus[livelevel.Pump] = max(flag.bonus[livelevel.Pump], 1.2)
		a.bonus[livelevel.Ullage] = max(a.bonus[livelevel.Ullage], 0.5)
	case d < -driven:
		flag.bonus[livelevel.Pump] = max(flag.bonus[livelevel.Pump], 0.6)
		a.bonus[livelevel.Ullage] -= 0.5
	}
	if flag.c.edged() {
		return // which of its words runs the pump is not known: the way of the water says nothing
	}
	switch fills(a.c, states, a.f.lost) {
	case 1:
		a.bonus[livelevel.Ullage] = -contradicts
		a.bonus[livelevel.LevelHeight] = max(a.bonus[livelevel.LevelHeight], 1)
	case -1:
		a.bonus[livelevel.LevelHeight], a.bonus[livelevel.LevelPercent] = -contradicts, -contradicts
		bonus := 0.8
		if a.calledLevel() {
			bonus = 2
		}
		a.bonus[livelevel.Ullage] = max(a.bonus[livelevel.Ullage], bonus)
	}
}

// edged tells whether a flag says one of the words that mean on to one controller and off to another.
func (c *series) edged() bool {
	for w := range c.words {
		if edged(w) {
			return true
		}
	}
	return false
}

// contradicts is what a column's motion weighs against its label.
const contradicts = 3

// calledLevel tells whether the label calls the column a level.
func (s *scored) calledLevel() bool {
	var e evidence
	e.label(labelWords(s.c.label))
	return max(e[livelevel.LevelHeight], e[livelevel.LevelPercent]) >= partWord
}

// states are a flag's rows as 0 and 1, nil when its words do not say which is which.
func (c *series) states() map[int]float64 {
	if len(c.vals) > 0 {
		return c.nums
	}
	out := map[int]float64{}
	for row, w := range c.said {
		switch s := stateOf([]byte(w)); s {
		case wordOn, wordAuto:
			out[row] = 1
		case wordOff, wordManual:
			out[row] = 0
		case wordLost:
		default:
			return nil
		}
	}
	return out
}

// alone helps columns without a word of their own: the only number that moves is the distance, the only
// flag is the pump.
func alone(cols []*scored) {
	var number, flag *scored
	numbers, flags := 0, 0
	for _, s := range cols {
		switch {
		case s.f.stamps || s.f.regular || s.rare:
		case s.f.n > 0 && s.f.binary || s.f.n == 0 && s.f.states > 0:
			flag = s
			flags++
		case s.f.n > 0:
			number = s
			numbers++
		}
	}
	if flags == 1 && unknown(flag) {
		flag.bonus[livelevel.Pump] += 1.1
	}
	if numbers == 1 && unknown(number) {
		number.bonus[livelevel.Ullage] += 2.2
		if number.c.unit != nil {
			number.bonus[livelevel.Echo] += 2.2
		}
	}
}

func unknown(s *scored) bool {
	var e evidence
	e.label(labelWords(s.c.label))
	for _, v := range e {
		if v >= partWord {
			return false
		}
	}
	return true
}

// settings finds the two set points: percents that never move, one below the other, whose labels say low
// and high, start and stop.
func settings(cols []*scored) {
	var low, high *scored
	for _, s := range cols {
		words := labelWords(s.c.label)
		u := s.c.unit
		if !s.f.constant || s.f.n < 6 || s.f.lo < 0 || s.f.hi > 100 || u != nil && u.dim != percent {
			continue
		}
		switch isLow, isHigh := anyOf(words, lowWords), anyOf(words, highWords); {
		case isLow && !isHigh:
			low = s
		case isHigh && !isLow:
			high = s
		}
	}
	if low == nil || high == nil || low.f.lo >= high.f.lo {
		return
	}
	low.bonus[livelevel.LowSet] += strongWord + 1
	high.bonus[livelevel.FullSet] += strongWord + 1
}

// rails are the usual supplies in volts (common practice, no source).
var rails = []float64{3.3, 5, 12, 24}

// unlabelled recognises a supply and an air temperature by what they do where nothing is written beside
// them: a supply stays near its rail, a temperature drifts.
func unlabelled(cols []*scored) {
	for _, s := range cols {
		f := &s.f
		if hasLetter([]byte(s.c.label)) || s.c.unit != nil || f.n < 20 || f.constant || f.binary || f.integer || len(f.lost) > 0 {
			continue
		}
		for _, v := range rails {
			if f.decimals >= 2 && f.lo > 0.88*v && f.hi < 1.08*v {
				s.bonus[livelevel.Supply] += 2.2
			}
		}
		if f.decimals == 1 && f.lo > -20 && f.hi < 50 && f.hi-f.lo < 12 && s.c.calm() {
			s.bonus[livelevel.AirTemperature] += 1.8
		}
	}
}

// calm tells whether the values never step far: by no more than a tenth of their whole range, or by a few
// of their last digits.
func (c *series) calm() bool {
	lo, hi := slices.Min(c.vals), slices.Max(c.vals)
	for i := 1; i < len(c.vals); i++ {
		if math.Abs(c.vals[i]-c.vals[i-1]) > max(0.35, 0.1*(hi-lo)) {
			return false
		}
	}
	return true
}

// driveLag is the number of rows over which a rise is looked for: longer than the noise of one reading.
const driveLag = 4

// drive tells how surely a column falls while the flag is on and does not while it is off: the difference
// of the two mean changes in standard errors; negative when it rises then.
func drive(dist *series, flag map[int]float64, lost []float64) float64 {
	off, on := motions(dist, flag, lost)
	if off.n < 6 || on.n < 6 || on.mean < 0 && on.mean >= off.mean || on.mean >= 0 && on.mean <= off.mean {
		return 0
	}
	return (off.mean - on.mean) / math.Sqrt(off.err2+on.err2+1e-12)
}

// fills is 1 for a column that rises while the flag is on and falls while it is off, -1 for the other way
// round: what a label says of a level or a distance must agree with it. Both ways must be clear, for under
// a large draw-off a level falls with the pump on as well.
func fills(c *series, flag map[int]float64, lost []float64) int {
	off, on := motions(c, flag, lost)
	if off.n < 12 || on.n < 12 || !on.clear() || !off.clear() {
		return 0
	}
	switch {
	case on.mean > 0 && off.mean < 0:
		return 1
	case on.mean < 0 && off.mean > 0:
		return -1
	}
	return 0
}

// motion is the mean change of a column over driveLag rows, with its squared standard error.
type motion struct{ n, mean, err2 float64 }

func (m motion) clear() bool { return math.Abs(m.mean) > driven*math.Sqrt(m.err2+1e-12) }

// motions are those with the flag off and on.
func motions(c *series, flag map[int]float64, lost []float64) (off, on motion) {
	var sum, sq, n [2]float64
	for i := driveLag; i < len(c.vals); i++ {
		before, now := c.vals[i-driveLag], c.vals[i]
		v, ok := flag[c.rowOf[i]]
		was := flag[c.rowOf[i-driveLag]]
		if !ok || v != was || slices.Contains(lost, now) || slices.Contains(lost, before) {
			continue
		}
		k := int(v)
		d := now - before
		sum[k] += d
		sq[k] += d * d
		n[k]++
	}
	of := func(k int) motion {
		if n[k] == 0 {
			return motion{}
		}
		m := sum[k] / n[k]
		return motion{n[k], m, (sq[k]/n[k] - m*m) / n[k]}
	}
	return of(0), of(1)
}
