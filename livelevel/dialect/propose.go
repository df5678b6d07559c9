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
	rare    bool     // it stands in few lines
	on, off []string // of a flag: how it says so
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
	assign(cols, sheet)
	strangers(cols)
	leaveOpen(cols)
	polarity(cols)
	return t.proposal(cols)
}

// weigh orders the roles for one column.
func (s *scored) weigh(sheet *site.Sheet) {
	var e evidence
	e.label(labelWords(s.c.label))
	if e[livelevel.Ullage] >= partWord && e[livelevel.LevelHeight] <= 0 && s.bonus[livelevel.Ullage] > -contradicts {
		e[livelevel.LevelHeight] -= 2 // called a distance, and nothing speaks against it
	}
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

// leaveOpen takes back a second column of the level that may as well be another (a height or a percent),
// where a surer one tells the level: to say nothing is better than a wrong reading.
func leaveOpen(cols []*scored) {
	sure := slices.ContainsFunc(cols, func(s *scored) bool { return s.conf >= askBelow && slices.Contains(levelRoles, s.role) })
	for _, s := range cols {
		if sure && s.conf < openBelow && slices.Contains(levelRoles, s.role) {
			s.role, s.second, s.conf = livelevel.Ignore, s.role, 0
		}
	}
}

const openBelow = 0.45

const nothing = 1.4 // score of "ignore": what speaks for a role must be more

// assign takes the surest pair of column and role first.
func assign(cols []*scored, sheet *site.Sheet) {
	taken := map[livelevel.Role]bool{}
	var first *scored // that tells the distance
	for range cols {
		var best *scored
		var pick guess
		for _, s := range cols {
			if s.role != livelevel.Ignore {
				continue
			}
			for _, g := range s.guesses {
				if g.role == livelevel.UllageRaw && s.ofAnotherTank(first) {
					continue
				}
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
		if pick.role == livelevel.Ullage {
			first = best
		}
		best.doubt(taken, sheet)
	}
}

// doubt sets the confidence: the distance to the runner-up, and that of the unit.
func (s *scored) doubt(taken map[livelevel.Role]bool, sheet *site.Sheet) {
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
	if s.inchOrCentimetre() && onSite(s.role, s.f.med*inch, s.f.usual*inch, sheet) == 1 {
		s.conf = min(s.conf, askBelow-0.05)
	}
}

const deepest = 3.0 // m: few tanks under such controllers are deeper (judgement, no source)

// inchOrCentimetre tells a distance without a word beside it that fits in either: only the technician or
// the site sheet knows.
func (s *scored) inchOrCentimetre() bool {
	u, f := s.got.unit, &s.f
	return isEcho(s.role) && u != nil && s.c.unit == nil && !hasLetter([]byte(s.c.label)) && f.decimals <= 2 &&
		(u.name == "cm" || u.name == "in") && f.usual*inch < deepest && f.med*inch > 0.1
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
	case !p.Settled && t.inTwoUnits(cols):
		p.UnitOpen = true
		p.Why = "the distance may be in centimetres or in inches: say which, or give a site sheet with the height of the sensor's face"
	case !p.Settled && p.Confidence < askBelow:
		p.Why = "the column of the level is a guess: say which it is and in what unit"
	default:
		p.Why = strconv.Itoa(t.rows) + " reports"
	}
	return p
}

func (t *table) inTwoUnits(cols []*scored) bool {
	return slices.ContainsFunc(cols, func(s *scored) bool { return s.conf < askBelow && s.inchOrCentimetre() })
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
		if slices.Contains(s.f.lost, -1) && s.f.lo >= 0 {
			f.Lost = append(f.Lost, "-1")
		}
	}
	if s.role == livelevel.Pump || s.role == livelevel.Demand || s.role == livelevel.Button || s.role == livelevel.Mode {
		f.On, f.Off = s.on, s.off
	}
	if t.d.Kind == CSV && t.d.Header {
		f.Column = slices.Index(t.cols, s.c) + 1
	}
	rows := t.rows
	if t.d.Kind == Text && t.whole > 0 {
		rows = t.whole
	}
	f.Optional = s.c.seen*100 < rows*97
	if t.d.Kind == Text && t.whole*100 < t.rows*97 && s.c.seen*100 < t.rows*97 {
		f.Optional = true // lines of other shapes lack it
	}
	return f
}

func (t *table) lost(s *scored) []string {
	lost := []string{"0", "-1"}
	for _, v := range s.f.lost {
		if v != 0 && v != -1 {
			lost = append(lost, strconv.FormatFloat(v, 'f', -1, 64))
		}
	}
	if s.f.constant && len(s.f.lost) == 0 && rangeEnd(s.f.hi) && s.f.n >= 3 {
		lost = append(lost, strconv.FormatFloat(s.f.hi, 'f', -1, 64))
	}
	words := lostWordsOf(s.c)
	if len(s.f.lost) > 0 { // it says it by a number: an empty cell is damage
		words = slices.DeleteFunc(words, func(w string) bool { return w == "" })
	}
	return append(lost, words...)
}

// lostToken tells a word that may stand for a lost echo: letters only, or nothing at all.
func lostToken(w string) bool {
	for i := range len(w) {
		if !isLetter(w[i]) && w[i] != ' ' && w[i] != '_' && w[i] != '-' {
			return false
		}
	}
	return true
}

func lostWordsOf(c *series) []string {
	var w []string
	for k, n := range c.words { // a word of its own that came once is damage
		if (n > 1 && lostToken(k) || k != "" && isLostWord([]byte(k))) && len(w) < 8 {
			w = append(w, k)
		}
	}
	sort.Strings(w)
	return w
}
