package dialect

import (
	"bytes"
	"strconv"
)

// csv scans a line of cells; names may be nil. A cell is a value as a whole, or a word.
func (s *scanner) csv(b []byte, sep byte, names []string) {
	s.slots, s.frame = s.slots[:0], hashStart
	for i, n := 0, 0; i <= len(b) && n < maxSlots; n++ {
		lo, hi, next := cell(b, i, sep)
		v := s.wholeCell(b, lo, hi)
		if v.label = column(n); n < len(names) {
			v.label = names[n]
		}
		s.slots = append(s.slots, v)
		if s.frame = mix(s.frame, 1); v.lo == v.hi {
			s.frame = mix(s.frame, 2) // an empty cell is a look of its own
		}
		i = next
	}
}

var columnNames = func() (a [maxSlots]string) {
	for i := range a {
		a[i] = "#" + strconv.Itoa(i+1)
	}
	return
}()

func column(n int) string { return columnNames[min(n, maxSlots-1)] }

// cell finds the next cell as RFC 4180 writes it: in double quotes, a quote in it doubled, or bare.
func cell(b []byte, i int, sep byte) (lo, hi, next int) {
	if i < len(b) && b[i] == '"' {
		for j := i + 1; j < len(b); j++ {
			if b[j] != '"' {
				continue
			}
			if j+1 < len(b) && b[j+1] == '"' {
				j++
				continue
			}
			if j+1 == len(b) || b[j+1] == sep {
				return i + 1, j, j + 2
			}
			break
		}
	}
	end := bytes.IndexByte(b[min(i, len(b)):], sep)
	if end < 0 {
		return i, len(b), len(b) + 1
	}
	return i, i + end, i + end + 1
}

// wholeCell reads a cell that is all number (and unit), all stamp, or else a word.
func (s *scanner) wholeCell(b []byte, lo, hi int) slot {
	for lo < hi && b[lo] == ' ' {
		lo++
	}
	for hi > lo && b[hi-1] == ' ' {
		hi--
	}
	c := b[lo:hi]
	v := slot{kind: slotWord, lo: lo, hi: hi, labelLo: lo, labelHi: lo}
	if sec, full, n := stamp(c); n == len(c) && n > 0 {
		v.kind, v.num, v.full = slotStamp, number{v: sec}, full
		return v
	}
	num, n := parseNumber(c, s.comma)
	if n == 0 {
		return v
	}
	if n == len(c) {
		v.kind, v.num = slotNumber, num
		return v
	}
	if u, ulo, uhi := readUnit(c[n:]); u != nil && n+uhi == len(c) {
		v.kind, v.num, v.unit = slotNumber, num, u
		v.unitLo, v.unitHi, v.hi = lo+n+ulo, lo+n+uhi, lo+n
	}
	return v
}

// nmea scans an NMEA 0183 sentence and reports whether its checksum is there and right. Fields are
// labelled with the three letters of the sentence and their number, XDR quadruples by their name.
func (s *scanner) nmea(b []byte) (ok bool, why string) {
	s.slots, s.frame = s.slots[:0], hashStart
	if len(b) < 6 || b[0] != '$' && b[0] != '!' {
		return false, "no NMEA sentence"
	}
	star := bytes.LastIndexByte(b, '*')
	if star < 0 || star+3 != len(b) {
		return false, "no checksum"
	}
	var sum byte
	for _, c := range b[1:star] {
		sum ^= c
	}
	hi, ok1 := hexDigit(b[star+1])
	lo, ok2 := hexDigit(b[star+2])
	if !ok1 || !ok2 || hi<<4|lo != sum {
		return false, "wrong checksum"
	}
	s.csv(b[:star], ',', nil)
	name := string(b[s.slots[0].lo:s.slots[0].hi])
	name = name[max(0, len(name)-3):]
	s.literal([]byte(name))
	for i := 1; i < len(s.slots); i++ {
		s.slots[i].label = name + "/" + strconv.Itoa(i)
	}
	if name == "XDR" {
		s.quadruples(b)
	}
	return true, ""
}

// sentences are the fields of NMEA 0183 sentences that tell a distance or a temperature, in words (from
// memory: depth below transducer in feet, metres, fathoms; depth and offset; mean temperature of air).
var sentences = map[string]string{"DBT/3": "distance m", "DBK/3": "distance m", "DBS/3": "distance m", "DPT/1": "distance m", "MTA/1": "air temperature degC"}

// quadruples names the values of an XDR sentence: type, value, unit, name.
func (s *scanner) quadruples(b []byte) {
	for i := 1; i+3 < len(s.slots); i += 4 {
		v := &s.slots[i+1]
		v.label = "XDR:" + string(b[s.slots[i+3].lo:s.slots[i+3].hi])
		v.unit = xdrUnit(b[s.slots[i].lo:s.slots[i].hi], b[s.slots[i+2].lo:s.slots[i+2].hi])
	}
}

// xdrUnit is the unit of a transducer by its type and unit letters (NMEA 0183, from memory).
func xdrUnit(kind, u []byte) *unit {
	switch string(kind) + "/" + string(u) {
	case "C/C":
		return findUnit("degC")
	case "D/M":
		return findUnit("m")
	case "H/P", "E/P":
		return findUnit("%")
	case "V/M":
		return findUnit("m3")
	case "R/l":
		return findUnit("l/s")
	case "U/V":
		return findUnit("V")
	case "I/A":
		return findUnit("A")
	}
	return nil
}

func hexDigit(c byte) (byte, bool) {
	switch {
	case isDigit(c):
		return c - '0', true
	case c|0x20 >= 'a' && c|0x20 <= 'f':
		return c | 0x20 - 'a' + 10, true
	}
	return 0, false
}
