package dialect

import (
	"math"
	"slices"
	"sort"
	"strconv"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// scored is a column with what speaks for each role.
type scored struct {
	c       *series
	f       features
	guesses []guess // best first
	bonus   evidence
	role    livelevel.Role
	got     guess
	conf    float64
	second  livelevel.Role
}

// propose gives each column a role, the likeliest first, no role twice.
func (t *table) propose(sheet *site.Sheet) Proposal {
	var cols []*scored
	for _, c := range t.cols {
		s := &scored{c: c, f: c.features(t.times)}
		cols = append(cols, s)
	}
	t.relate(cols)
	for _, s := range cols {
		s.weigh(sheet)
	}
	assign(cols)
	strangers(cols)
	return t.proposal(cols)
}

// weigh orders the roles for one column.
func (s *scored) weigh(sheet *site.Sheet) {
	var e evidence
	e.label(labelWords(s.c.label))
	for r := range e {
		e[r] += s.bonus[r]
	}
	for r := livelevel.Clock; int(r) < livelevel.RoleCount; r++ {
		if g := s.c.judge(r, &e, &s.f, sheet); g.score > -5 {
			s.guesses = append(s.guesses, g)
		}
	}
	sort.SliceStable(s.guesses, func(i, j int) bool { return s.guesses[i].score > s.guesses[j].score })
}

// strangers loses the columns of lines that never tell a level or the pump's state, where a label alone
// speaks for them: a log says many things.
func strangers(cols []*scored) {
	rows := map[int]bool{}
	for _, s := range cols {
		if slices.Contains(levelRoles, s.role) || s.role == livelevel.Pump {
			for _, r := range s.c.rows {
				rows[r] = true
			}
		}
	}
	for _, s := range cols {
		switch s.role {
		case livelevel.EchoQuality, livelevel.Fault, livelevel.ResetCause, livelevel.Uptime, livelevel.Clock, livelevel.Mode, livelevel.FlowRole:
			if len(s.c.rows) > 0 && !slices.ContainsFunc(s.c.rows, func(r int) bool { return rows[r] }) {
				s.role, s.conf = livelevel.Ignore, 0
			}
		}
	}
}

const nothing = 1.4 // score of "ignore": what speaks for a role must be more

// assign takes the surest pair of column and role first.
func assign(cols []*scored) {
	taken := map[livelevel.Role]bool{}
	for range cols {
		var best *scored
		var pick guess
		for _, s := range cols {
			if s.role != livelevel.Ignore {
				continue
			}
			for _, g := range s.guesses {
				if !taken[g.role] && g.score > nothing && (best == nil || g.score > pick.score) {
					best, pick = s, g
				}
				if !taken[g.role] {
					break
				}
			}
		}
		if best == nil {
			return
		}
		taken[pick.role] = true
		best.role, best.got = pick.role, pick
		best.doubt(taken)
	}
}

// doubt sets the confidence: the distance to the runner-up, and that of the unit.
func (s *scored) doubt(taken map[livelevel.Role]bool) {
	rival := nothing - 0.6
	for _, g := range s.guesses {
		if g.role != s.role && !taken[g.role] {
			if s.second = g.role; g.score > rival {
				rival = g.score
			}
			break
		}
	}
	s.conf = 1 / (1 + math.Exp(-1.6*(s.got.score-rival)))
	if s.got.unit != nil {
		s.conf *= 0.35 + 0.65*s.got.unitSure
	}
}

// relate lets columns speak for each other: a percent falls as the distance rises, a flag matches rises.
func (t *table) relate(cols []*scored) {
	alone(cols)
	for _, a := range cols {
		if a.f.constant || a.f.n < 6 || a.f.stamps {
			continue
		}
		for _, b := range cols {
			switch {
			case a == b || b.f.stamps:
			case b.f.n == 0 && len(b.c.states) >= 6 && !a.f.binary, !b.f.constant && b.f.n >= 6 && b.f.binary && !a.f.binary:
				driven(a, b)
			case !b.f.constant && b.f.n >= 6:
				t.pair(a, b)
			}
		}
	}
}

// driven judges a number beside a flag: what rises while the flag is on is a level, what falls a distance,
// and the flag is the pump's.
func driven(a, b *scored) {
	if drive(a.c, b.c, a.f.lost) > 6 && b.f.n > 0 {
		b.bonus[livelevel.Pump] = max(b.bonus[livelevel.Pump], 1.2)
		a.bonus[livelevel.Ullage] = max(a.bonus[livelevel.Ullage], 0.5)
	}
	switch fills(a.c, b.c, a.f.lost) {
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

// calledLevel tells whether the label calls the column a level.
func (s *scored) calledLevel() bool {
	var e evidence
	e.label(labelWords(s.c.label))
	return max(e[livelevel.LevelHeight], e[livelevel.LevelPercent]) >= partWord
}

// contradicts is what a column's motion weighs against its label.
const contradicts = 3

// pair judges b beside a.
func (t *table) pair(a, b *scored) {
	if a.f.strict > 0.9 || b.f.strict > 0.9 || a.f.binary {
		return
	}
	r, n := against(a.c, b.c, a.f.lost, b.f.lost)
	if n < 8 {
		return
	}
	inPercent := b.f.min >= -10 && b.f.max <= 130
	switch {
	case r < -0.9 && inPercent && (b.c.unit == nil || b.c.unit.dim == percent):
		b.bonus[livelevel.LevelPercent] = max(b.bonus[livelevel.LevelPercent], 1.6)
		a.bonus[livelevel.Ullage] = max(a.bonus[livelevel.Ullage], 1.2)
		a.bonus[livelevel.Echo] = max(a.bonus[livelevel.Echo], 0.6)
	case r < -0.9:
		b.bonus[livelevel.LevelHeight] = max(b.bonus[livelevel.LevelHeight], 0.6)
		a.bonus[livelevel.Ullage] = max(a.bonus[livelevel.Ullage], 0.6)
	}
}

// alone helps columns without a word of their own: the only number that moves is the distance, the only
// flag is the pump.
func alone(cols []*scored) {
	var number, flag *scored
	numbers, flags := 0, 0
	for _, s := range cols {
		switch {
		case s.f.stamps || s.f.regular:
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

// driveLag is the number of rows over which a rise is looked for: longer than the noise of one reading.
const driveLag = 4

// drive tells how surely the distance falls while the flag is on and does not while it is off: the
// difference of the two mean changes in standard errors.
func drive(dist, flag *series, lost []float64) float64 {
	off, on := motions(dist, flag, lost)
	if off.n < 6 || on.n < 6 || on.mean >= 0 || on.mean >= off.mean {
		return 0
	}
	return (off.mean - on.mean) / math.Sqrt(off.err2+on.err2+1e-12)
}

// fills tells whether the column rises while the flag is on and falls while it is off, or the other way
// round: what a label says of a level or a distance must agree with it. Both ways must be clear, for
// under a large draw-off a level falls with the pump on as well.
func fills(c, flag *series, lost []float64) int {
	off, on := motions(c, flag, lost)
	if off.n < 12 || on.n < 12 {
		return 0
	}
	clear := func(m motion) bool { return math.Abs(m.mean) > 6*math.Sqrt(m.err2+1e-12) }
	switch {
	case !clear(on) || !clear(off):
		return 0
	case on.mean > 0 && off.mean < 0:
		return 1
	case on.mean < 0 && off.mean > 0:
		return -1
	}
	return 0
}

// motion is the mean change of a column over driveLag rows, with its squared standard error.
type motion struct{ n, mean, err2 float64 }

// motions are those with the flag off and on.
func motions(c, flag *series, lost []float64) (off, on motion) {
	var sum, sq, n [2]float64
	for i := driveLag; i < len(c.vals); i++ {
		before, now := c.vals[i-driveLag], c.vals[i]
		v, ok := flag.flag(c.rowOf[i])
		was, _ := flag.flag(c.rowOf[i-driveLag])
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

// levelRoles are those from which a level can be had, the best first.
var levelRoles = []livelevel.Role{livelevel.Ullage, livelevel.Echo, livelevel.UllageRaw, livelevel.LevelHeight, livelevel.LevelPercent, livelevel.VolumeRole}

func (t *table) proposal(cols []*scored) Proposal {
	p := Proposal{Dialect: t.d}
	p.Dialect.Name = "learned"
	sure := map[livelevel.Role]float64{}
	for _, s := range cols {
		if s.role == livelevel.UllageRaw && !hasRole(cols, livelevel.Ullage) {
			s.role = livelevel.Ullage // the only distance there is
		}
		col := Column{At: s.c.at, Role: s.role, Confidence: s.conf, RunnerUp: s.second, Sample: s.c.sample, Values: s.c.seen}
		if s.role != livelevel.Ignore {
			f := t.field(s)
			col.Unit, col.Lost = f.Unit, f.Lost
			if s.got.rival != nil && s.got.unitSure < 0.9 {
				col.RunnerUnit = s.got.rival.name
			}
			p.Dialect.Fields = append(p.Dialect.Fields, f)
			sure[s.role] = s.conf
		}
		p.Columns = append(p.Columns, col)
	}
	for _, r := range levelRoles {
		p.Confidence = max(p.Confidence, sure[r])
	}
	p.Settled = p.Confidence >= sureAt && t.rows >= 3 || p.Confidence >= askBelow && t.rows >= fewLines
	if p.Deaf = deaf(cols); p.Deaf && p.Confidence >= deafBelow && t.rows >= fewLines {
		p.Settled = true
	}
	switch {
	case p.Deaf && p.Settled:
		p.Why = strconv.Itoa(t.rows) + " reports, all without an echo: the unit of the distance is not known yet"
	case p.Confidence == 0:
		p.Why = "no column that tells a level"
	case !p.Settled && p.Confidence < askBelow:
		p.Why = "the column of the level is a guess: say which it is and in what unit"
	default:
		p.Why = strconv.Itoa(t.rows) + " reports"
	}
	return p
}

// deaf tells whether every column that could tell the level has brought words only, the distance among
// them: what such a column counts in is not known before the first number.
func deaf(cols []*scored) bool {
	found := false
	for _, s := range cols {
		if !slices.Contains(levelRoles, s.role) {
			continue
		}
		if s.f.n > 0 {
			return false
		}
		found = found || isEcho(s.role) && len(s.c.words) > 0
	}
	return found
}

func hasRole(cols []*scored, r livelevel.Role) bool {
	return slices.ContainsFunc(cols, func(s *scored) bool { return s.role == r })
}

// field writes a column down as a field of the dialect.
func (t *table) field(s *scored) Field {
	f := Field{Role: s.role.String(), At: s.c.at}
	if s.got.unit != nil && s.got.unit.dim != absolute {
		f.Unit = s.got.unit.name
	}
	if isEcho(s.role) {
		f.Lost = t.lost(s)
	} else if s.role == livelevel.LevelPercent || s.role == livelevel.LevelHeight {
		f.Lost = lostWordsOf(s.c)
		if slices.Contains(s.f.lost, -1) && s.f.min >= 0 {
			f.Lost = append(f.Lost, "-1")
		}
	}
	if s.role == livelevel.Pump || s.role == livelevel.Demand || s.role == livelevel.Button || s.role == livelevel.Mode {
		f.On, f.Off = flagWords(s)
	}
	if t.d.Kind == CSV && t.d.Header {
		f.Column = slices.Index(t.cols, s.c) + 1
	}
	rows := t.rows
	if t.d.Kind == Text && t.whole > 0 {
		rows = t.whole
	}
	f.Optional = s.c.seen*100 < rows*97 || t.d.Kind == Text && t.whole*100 < t.rows*97
	return f
}

func (t *table) lost(s *scored) []string {
	lost := []string{"0", "-1"}
	for _, v := range s.f.lost {
		if v != 0 && v != -1 {
			lost = append(lost, strconv.FormatFloat(v, 'f', -1, 64))
		}
	}
	if s.f.constant && len(s.f.lost) == 0 && rangeEnd(s.f.max) && s.f.n >= 3 {
		lost = append(lost, strconv.FormatFloat(s.f.max, 'f', -1, 64))
	}
	return append(lost, lostWordsOf(s.c)...)
}

func lostWordsOf(c *series) []string {
	var w []string
	for k := range c.words {
		if k != "" && len(w) < 8 {
			w = append(w, k)
		}
	}
	sort.Strings(w)
	return w
}

// flagWords are the words seen for on and off.
func flagWords(s *scored) (on, off []string) {
	for w := range s.c.words {
		switch k := stateOf([]byte(w)); {
		case k == wordOn || k == wordAuto:
			on = append(on, w)
		case k == wordOff || k == wordManual:
			off = append(off, w)
		}
	}
	if s.f.n > 0 {
		on, off = append(on, "1"), append(off, "0")
	}
	sort.Strings(on)
	sort.Strings(off)
	return on, off
}
