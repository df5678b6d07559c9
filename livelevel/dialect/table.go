package dialect

import (
	"time"
)

// table is a feed cut into columns.
type table struct {
	d     Dialect
	cols  []*series
	index map[string]*series
	rows  int
	times []time.Time
	whole int // rows of the main shapes, for telling optional columns
}

// series is one column: its values row by row, and how they are written.
type series struct {
	at     string
	label  string
	nums   map[int]float64 // by row
	vals   []float64       // in order
	rowOf  []int
	rows   []int // all rows in which it stands
	words  map[string]int
	said   map[int]string // the words by row
	stamps int
	full   int // of them with a date
	unit   *unit
	units  int
	dec    [10]int
	sample string
	seen   int
	number bool // a number sign stands before its values: they number the reports
}

func newTable(kind string) *table {
	return &table{d: Dialect{Kind: kind, Decimal: "."}, index: map[string]*series{}}
}

func (t *table) col(at, label string) *series {
	if c := t.index[at]; c != nil {
		return c
	}
	if len(t.cols) >= maxSlots*4 {
		return nil
	}
	c := &series{at: at, label: label, nums: map[int]float64{}, words: map[string]int{}, said: map[int]string{}}
	t.cols = append(t.cols, c)
	t.index[at] = c
	return c
}

// put adds the value of a slot to a column.
func (c *series) put(row int, s *slot, line []byte) {
	if c == nil {
		return
	}
	c.seen++
	c.rows = append(c.rows, row)
	c.sample = string(line[s.lo:min(max(s.hi, s.unitHi), len(line))])
	switch s.kind {
	case slotNumber:
		c.number = s.lo > 0 && line[s.lo-1] == '#'
		c.vals, c.rowOf = append(c.vals, s.num.v), append(c.rowOf, row)
		c.nums[row] = s.num.v
		c.dec[min(s.num.decimals, 9)]++
		if s.unit != nil {
			c.unit = s.unit
			c.units++
		}
	case slotStamp:
		c.stamps++
		if s.full {
			c.full++
		}
		c.vals, c.rowOf = append(c.vals, s.num.v), append(c.rowOf, row)
		c.nums[row] = s.num.v
	case slotWord:
		if w := string(line[s.lo:s.hi]); len(c.words) < 64 || c.words[w] > 0 {
			c.words[w]++
			c.said[row] = w
		}
	}
}

func jsonTable(use []sample) *table {
	t := newTable(JSON)
	var s scanner
	for _, l := range use {
		if len(l.text) == 0 || l.text[0] != '{' || !s.json(l.text) {
			continue
		}
		t.row(&s, l)
	}
	return t.orNil()
}

func nmeaTable(use []sample) *table {
	t := newTable(NMEA)
	var s scanner
	for _, l := range use {
		if ok, _ := s.nmea(l.text); ok {
			s.slots = s.slots[1:]
			t.row(&s, l)
		}
	}
	return t.orNil()
}

func (t *table) row(s *scanner, l sample) {
	for i := range s.slots {
		v := &s.slots[i]
		label := v.label
		if w, ok := sentences[label]; ok {
			label = w
		}
		t.col(v.label, label).put(t.rows, v, l.text)
	}
	t.times = append(t.times, l.at)
	t.rows++
}

func (t *table) orNil() *table {
	if t.rows == 0 {
		return nil
	}
	return t
}

const minShare = 0.04 // of the lines: a rarer shape is no report

// textTable reads lines of labelled or bare values. Lines of one shape belong together; the common shapes
// are reports.
func textTable(use []sample) *table {
	t := newTable(Text)
	comma := commaDecimals(use)
	if comma {
		t.d.Decimal = ","
	}
	s := scanner{comma: comma}
	counts, total := map[uint64]int{}, 0
	for _, l := range use {
		if s.text(l.text); len(s.slots) > 0 {
			counts[s.frame]++
			total++
		}
	}
	top := topFrame(counts)
	for _, l := range use {
		s.text(l.text)
		if len(s.slots) == 0 || counts[s.frame] < 2 || float64(counts[s.frame]) < minShare*float64(total) {
			continue
		}
		t.textRow(&s, l, s.frame == top)
	}
	return t.orNil()
}

func topFrame(counts map[uint64]int) (top uint64) {
	for f, n := range counts {
		if n > counts[top] || n == counts[top] && f < top {
			top = f
		}
	}
	return top
}

// textRow adds a line; values without a label of their own count by their place, in the main shape only.
func (t *table) textRow(s *scanner, l sample, main bool) {
	names := map[string]int{}
	labels := make([]string, len(s.slots))
	for i, v := range s.slots {
		labels[i] = labelOf(l.text[v.labelLo:v.labelHi])
		names[fold(labels[i])]++
	}
	for i := range s.slots {
		at := labels[i]
		if at == "" || names[fold(at)] > 1 || !hasLetter([]byte(at)) {
			if !main {
				continue
			}
			at = column(i)
		}
		t.col(at, labels[i]).put(t.rows, &s.slots[i], l.text)
	}
	t.times = append(t.times, l.at)
	t.rows++
	if main {
		t.whole++
	}
}

// commaDecimals tells whether the decimal sign of text lines is a comma.
func commaDecimals(use []sample) bool {
	commas, points := 0, 0
	for _, l := range use {
		for i := 1; i+1 < len(l.text); i++ {
			if !isDigit(l.text[i-1]) || !isDigit(l.text[i+1]) {
				continue
			}
			switch l.text[i] {
			case ',':
				commas++
			case '.':
				points++
			}
		}
	}
	return commas > points*2 && commas*3 >= len(use)
}
