package dialect

import (
	"bytes"
	"math"
	"slices"
)

// csvTable reads lines of separated cells, if that is what they are.
func csvTable(use []sample) *table {
	for _, sep := range []byte{';', '\t', ',', '|'} {
		if t := csvWith(use, sep); t != nil {
			return t
		}
	}
	return nil
}

func csvWith(use []sample, sep byte) *table {
	n, share := commonCells(use, sep)
	if n < 2 || share < 0.6 {
		return nil
	}
	t := newTable(CSV)
	t.d.Separator = string(sep)
	s := scanner{comma: sep != ',' && commaCells(use, sep)}
	if s.comma {
		t.d.Decimal = ","
	}
	var rows []sample
	var heads headers
	numbers, labelled, cells := 0, 0, 0
	for _, l := range use {
		if s.csv(l.text, sep, nil); len(s.slots) != n {
			continue
		}
		if h := headerOf(&s, l.text); h != nil {
			if len(rows) < fewRows || speaks(h) {
				heads.add(h)
			}
			continue
		}
		rows = append(rows, l)
		for i := range s.slots {
			v := &s.slots[i]
			cells++
			if v.kind != slotWord {
				numbers++
			} else if isLabelled(l.text[v.lo:v.hi]) {
				labelled++
			}
		}
	}
	if len(rows) == 0 || numbers*10 < cells*3 || labelled*5 > cells || sep == ',' && oneNumber(rows, n) {
		return nil
	}
	header := heads.usual()
	t.d.Header = header != nil
	for _, l := range rows {
		s.csv(l.text, sep, header)
		t.row(&s, l)
	}
	return t
}

// commonCells is the most frequent number of cells, and its share of the lines.
func commonCells(use []sample, sep byte) (n int, share float64) {
	var counts [maxSlots + 1]int
	total := 0
	var s scanner
	for _, l := range use {
		if len(l.text) == 0 {
			continue
		}
		s.csv(l.text, sep, nil)
		counts[len(s.slots)]++
		total++
	}
	for i, c := range counts {
		if i > 1 && c > counts[n] || n == 0 && c > 0 {
			n = i
		}
	}
	return n, float64(counts[n]) / math.Max(1, float64(total))
}

// headerOf returns the names if the line is a header: every cell words, none of them a state.
func headerOf(s *scanner, line []byte) []string {
	var names []string
	seen := map[string]bool{}
	for _, v := range s.slots {
		c := line[v.lo:v.hi]
		if v.kind != slotWord || !isName(c) || stateOf(c) == wordLost || isLabelled(c) {
			return nil
		}
		if seen[fold(string(c))] {
			return nil
		}
		seen[fold(string(c))] = true
		names = append(names, string(c))
	}
	return names
}

// isName tells whether a cell may name a column: letters, and the signs that go with a unit, mostly letters.
func isName(c []byte) bool {
	letters := 0
	for _, b := range c {
		switch {
		case isLetter(b):
			letters++
		case isDigit(b) || bytes.IndexByte([]byte(" _-./%#()[]^,;&"), b) >= 0:
		default:
			return false
		}
	}
	return letters > 0 && 3*letters >= len(c) && (isLetter(c[0]) || c[0] == '#' || c[0] == '%' || c[0] == ' ')
}

// headers are the lines of names that came; the one that came most often, else the first, is the header.
type headers struct {
	names [][]string
	times []int
}

const (
	maxHeaders = 32
	fewRows    = 3 // before a header at the beginning of a feed: one may be torn
)

// speaks tells whether at least half of the names say what their columns are: a line of names that comes late may be a
// start of the board, or noise.
func speaks(names []string) bool {
	known := 0
	for _, n := range names {
		var e evidence
		e.label(labelWords(n))
		if slices.Max(e[:]) >= partWord {
			known++
		}
	}
	return 2*known >= len(names)
}

func (h *headers) add(names []string) {
	for i := range h.names {
		if slices.Equal(h.names[i], names) {
			h.times[i]++
			return
		}
	}
	if len(h.names) < maxHeaders {
		h.names, h.times = append(h.names, names), append(h.times, 1)
	}
}

func (h *headers) usual() []string {
	best := -1
	for i, n := range h.times {
		if best < 0 || n > h.times[best] {
			best = i
		}
	}
	if best < 0 {
		return nil
	}
	return h.names[best]
}

// isLabelled tells a cell like "dist=43.2" or "Level: 67 %": then the line is labelled text.
func isLabelled(c []byte) bool {
	i := bytes.IndexAny(c, ":=")
	if i < 0 {
		return isNamed(c)
	}
	return i > 0 && i < len(c)-1 && hasLetter(c[:i]) && bytes.ContainsAny(c[i:], "0123456789") || i > 0 && hasLetter(c[:i]) && i < len(c)-1 && c[i] == '='
}

// isNamed tells a cell like "Level 67 %": a word, a blank, and a number.
func isNamed(c []byte) bool {
	c = bytes.TrimSpace(c)
	i := bytes.IndexByte(c, ' ')
	return i > 1 && isLetter(c[0]) && bytes.ContainsAny(c[i:], "0123456789")
}

// commaCells tells whether cells are numbers with a decimal comma.
func commaCells(use []sample, sep byte) bool {
	commas, points := 0, 0
	for _, l := range use {
		for _, c := range bytes.Split(l.text, []byte{sep}) {
			c = bytes.TrimSpace(c)
			if _, n := parseNumber(c, true); n == len(c) && bytes.IndexByte(c, ',') > 0 {
				commas++
			} else if _, n := parseNumber(c, false); n == len(c) && bytes.IndexByte(c, '.') > 0 {
				points++
			}
		}
	}
	return commas > points
}

// oneNumber tells whether "43,2" a line is one number with a decimal comma and not two cells: then what
// stands behind the comma has always the same width and jumps about.
func oneNumber(rows []sample, n int) bool {
	if n != 2 {
		return false
	}
	width, last, jump, zeros, whole := -1, -1, 0.0, 0, -1
	wraps, turns, odd, far := 0, 0, 0, 0
	for _, l := range rows {
		i := bytes.IndexByte(l.text, ',')
		b := l.text[i+1:]
		if k := bytes.IndexByte(b, ' '); k > 0 && k <= 3 { // 0,946 m
			if u, _, hi := readUnit(b[k:]); u != nil && k+hi == len(b) {
				b = b[:k]
				if v, ok := digits(b); ok && u.name == "m" && v > 50 {
					far++ // 946 m are no distance
				}
			}
		}
		v, ok := digits(b)
		if !ok || len(b) > 3 || width >= 0 && len(b) != width {
			if odd++; odd*5 > len(rows) {
				return false
			}
			continue // damage
		}
		w, ok := digits(bytes.TrimPrefix(l.text[:i], []byte("-")))
		if !ok {
			continue
		}
		if last >= 0 {
			jump += math.Abs(float64(v - last))
			if w != whole {
				turns++
				if (w-whole)*(v-last) < 0 && math.Abs(float64(v-last)) > 0.5*math.Pow(10, float64(len(b))) {
					wraps++
				}
			}
		}
		if len(b) > 1 && b[0] == '0' {
			zeros++
		}
		width, last, whole = len(b), v, w
	}
	if zeros > 1 || far*2 > len(rows) || turns > 1 && wraps*10 >= turns*8 { // 1,004 is no cell; 0,996 goes on to 1,002
		return true
	}
	return len(rows) > 1 && jump/float64(len(rows)-1) > 0.12*math.Pow(10, float64(width))
}
