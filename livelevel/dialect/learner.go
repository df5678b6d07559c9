package dialect

import (
	"bytes"
	"time"
	"unicode/utf8"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// Proposal is what the learner makes of a feed.
type Proposal struct {
	Dialect    Dialect
	Columns    []Column
	Confidence float64 // of the column that tells the level, 0..1
	// Settled: sure enough to decode by without asking.
	Settled bool
	// Deaf: the level's column is clear by its label, but only words for a lost echo have come yet, so
	// its unit is not known. It is settled all the same: that no echo is heard is what such a feed has
	// to tell. With the first number the learning must begin anew.
	Deaf bool
	// UnitOpen: the lines are understood but for the unit of the distance, which only the site can tell.
	UnitOpen bool
	// Why says in a few words what the confidence rests on or what is missing.
	Why string
}

// Column is one column of the feed with what it may mean.
type Column struct {
	At         string
	Role       livelevel.Role
	Unit       string
	Confidence float64
	RunnerUp   livelevel.Role
	RunnerUnit string // the second best unit, where the unit is a guess
	Sample     string
	Lost       []string
	Values     int
}

// Learner works out a dialect from lines. Memory is bounded: it looks at the first maxSample lines.
type Learner struct {
	sheet *site.Sheet
	lines []sample
	clean cleaner
}

type sample struct {
	text []byte
	at   time.Time
}

const (
	maxSample     = 600
	maxSampleLine = 1024
	deafBelow     = 0.4 // the same for a column without a number, of which nothing is read but that no echo came
	askBelow      = 0.6 // a confidence below which the technician is asked
	sureAt        = 0.85
	fewLines      = 10 // reports needed where the labels do not say it clearly
)

// NewLearner returns a learner; the site sheet helps and may be nil.
func NewLearner(sheet *site.Sheet) *Learner { return &Learner{sheet: sheet} }

// Learn is the learner in one call.
func Learn(lines []string, sheet *site.Sheet) Proposal {
	l := NewLearner(sheet)
	for _, s := range lines {
		l.Add([]byte(s), time.Time{})
	}
	return l.Propose()
}

// Add gives the learner a line; at is its arrival, or zero.
func (l *Learner) Add(line []byte, at time.Time) {
	if len(l.lines) >= maxSample || len(line) > maxSampleLine {
		return
	}
	b := l.clean.clean(line)
	l.lines = append(l.lines, sample{bytes.Clone(b), at})
}

// Propose works out a dialect from the lines so far.
func (l *Learner) Propose() Proposal {
	use, enc := l.usable()
	best := Proposal{Why: "no lines that make sense"}
	for _, t := range l.tables(use) {
		p := t.propose(l.sheet)
		p.Dialect.Encoding = enc
		if p.Confidence > best.Confidence+0.02 || best.Dialect.Kind == "" {
			best = p
		}
	}
	if best.Settled {
		best.Dialect.addLost(l.lostLines(best.Dialect))
	}
	return best
}

// usable leaves out the lines of starts and those that are no text.
func (l *Learner) usable() (use []sample, encoding string) {
	high, bad := 0, 0
	for _, s := range l.lines {
		if bytes.IndexFunc(s.text, func(r rune) bool { return r >= 0x80 }) >= 0 && isPlain(s.text) {
			high++
			if !utf8.Valid(s.text) {
				bad++
			}
		}
	}
	latin := bad > 1 && bad*2 > high
	encoding = "utf-8"
	if latin {
		encoding = "latin-1"
	}
	skip := l.bootsApart()
	for _, s := range l.lines {
		if !isPlain(s.text) || skip && isBoot(s.text) {
			continue
		}
		if latin {
			s.text = toUTF8(nil, s.text)
		}
		if !utf8.Valid(s.text) {
			continue
		}
		use = append(use, s)
	}
	return use, encoding
}

// bootsApart tells whether the lines with words of a start are starts. Where the word stands in most lines it may
// be a field for the reset cause; but a few texts without a length, over and over, are of a board that only starts.
func (l *Learner) bootsApart() bool {
	boots, full := 0, 0
	texts := map[string]bool{}
	for _, s := range l.lines {
		if len(s.text) > 0 {
			full++
		}
		if isBoot(s.text) {
			boots++
			if len(texts) <= fewBanners {
				texts[string(s.text)] = true
			}
		}
	}
	if boots*10 < full*4 || boots == 0 {
		return true
	}
	for t := range texts {
		if tellsLength([]byte(t)) {
			return false
		}
	}
	return len(texts) <= fewBanners && boots >= fewLines
}

const fewBanners = 3

func tellsLength(b []byte) bool {
	var s scanner
	s.text(b)
	for i := range s.slots {
		if u := s.slots[i].unit; u != nil && u.dim == length {
			return true
		}
	}
	return false
}

// tables reads the lines in each way that fits them; the first is the likeliest.
func (l *Learner) tables(use []sample) []*table {
	full := 0
	for _, s := range use {
		if len(s.text) > 0 {
			full++
		}
	}
	if full == 0 {
		return nil
	}
	if t := jsonTable(use); t != nil && t.rows*10 >= full*5 {
		return []*table{t}
	}
	if t := nmeaTable(use); t != nil && t.rows*10 >= full*4 {
		return []*table{t}
	}
	if t := csvTable(use); t != nil {
		return []*table{t}
	}
	if t := blockTable(use); t != nil {
		return []*table{t}
	}
	if t := textTable(use); t != nil {
		return []*table{t}
	}
	return nil
}
