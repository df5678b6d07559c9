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
			if a == b || b.f.constant || b.f.n < 6 || b.f.stamps {
				continue
			}
			t.pair(a, b)
		}
	}
}

// pair judges b beside a.
func (t *table) pair(a, b *scored) {
	if b.f.binary && !a.f.binary {
		if drive(a.c, b.c, a.f.lost) > 6 {
			b.bonus[livelevel.Pump] = max(b.bonus[livelevel.Pump], 1.2)
			a.bonus[livelevel.Ullage] = max(a.bonus[livelevel.Ullage], 0.5)
		}
		return
	}
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
	var sum, sq, n [2]float64
	for i := driveLag; i < len(dist.vals); i++ {
		before, now := dist.vals[i-driveLag], dist.vals[i]
		on, ok := flag.nums[dist.rowOf[i]]
		was := flag.nums[dist.rowOf[i-driveLag]]
		if !ok || on != was || slices.Contains(lost, now) || slices.Contains(lost, before) {
			continue
		}
		k := int(on)
		d := now - before
		sum[k] += d
		sq[k] += d * d
		n[k]++
	}
	if n[0] < 6 || n[1] < 6 {
		return 0
	}
	m0, m1 := sum[0]/n[0], sum[1]/n[1]
	v := (sq[0]/n[0]-m0*m0)/n[0] + (sq[1]/n[1]-m1*m1)/n[1]
	if m1 >= 0 || m1 >= m0 {
		return 0
	}
	return (m0 - m1) / math.Sqrt(v+1e-12)
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
