package dialect

import (
	"strconv"
	"unicode/utf8"
)

// json scans one JSON object (RFC 8259) into a slot for each leaf, labelled with its path. It reports
// false when the line is no whole object: a cut or merged line.
func (s *scanner) json(b []byte) bool {
	s.slots, s.frame = s.slots[:0], 0
	p := jsonScan{s: s, b: b}
	p.space()
	if p.peek() != '{' || !p.value("", 0) {
		return false
	}
	p.space()
	return p.i == len(b)
}

const maxNesting = 8

type jsonScan struct {
	s *scanner
	b []byte
	i int
}

func (p *jsonScan) peek() byte {
	if p.i < len(p.b) {
		return p.b[p.i]
	}
	return 0
}

func (p *jsonScan) space() {
	for p.i < len(p.b) && (p.b[p.i] == ' ' || p.b[p.i] == '\t' || p.b[p.i] == '\n' || p.b[p.i] == '\r') {
		p.i++
	}
}

func (p *jsonScan) value(path string, depth int) bool {
	p.space()
	if depth > maxNesting || len(p.s.slots) >= maxSlots {
		return false
	}
	switch c := p.peek(); {
	case c == '{':
		return p.object(path, depth)
	case c == '[':
		return p.array(path, depth)
	case c == '"':
		lo, hi, ok := p.str()
		if ok {
			p.leaf(path, lo, hi, true)
		}
		return ok
	case c == '-' || isDigit(c):
		lo := p.i
		_, n := parseNumber(p.b[p.i:], false)
		p.i += n
		if n == 0 || isWord(p.peek()) || p.peek() == '.' {
			return false
		}
		p.leaf(path, lo, p.i, false)
		return true
	}
	for _, w := range [...]string{"true", "false", "null"} {
		if len(p.b)-p.i >= len(w) && string(p.b[p.i:p.i+len(w)]) == w {
			p.leaf(path, p.i, p.i+len(w), true)
			p.i += len(w)
			return true
		}
	}
	return false
}

func (p *jsonScan) leaf(path string, lo, hi int, word bool) {
	v := slot{kind: slotWord, lo: lo, hi: hi, labelLo: lo, labelHi: lo}
	v = p.s.wholeCell(p.b, lo, hi)
	if !word && v.kind != slotNumber {
		v.kind = slotWord
	}
	v.label = path
	p.s.slots = append(p.s.slots, v)
	h := hashStart
	for i := 0; i < len(path); i++ {
		h = mix(h, path[i])
	}
	p.s.frame += h // the order of the keys does not matter
}

// str takes a string and returns where its text stands, escapes as they are.
func (p *jsonScan) str() (lo, hi int, ok bool) {
	p.i++
	lo = p.i
	for p.i < len(p.b) {
		switch c := p.b[p.i]; {
		case c == '"':
			hi = p.i
			p.i++
			return lo, hi, utf8.Valid(p.b[lo:hi])
		case c < 0x20:
			return 0, 0, false
		case c == '\\':
			p.i++
		}
		p.i++
	}
	return 0, 0, false
}

func (p *jsonScan) object(path string, depth int) bool {
	p.i++
	p.space()
	if p.peek() == '}' {
		p.i++
		return true
	}
	for {
		p.space()
		if p.peek() != '"' {
			return false
		}
		lo, hi, ok := p.str()
		if p.space(); !ok || p.peek() != ':' {
			return false
		}
		p.i++
		key := string(p.b[lo:hi])
		if path != "" {
			key = path + "." + key
		}
		if !p.value(key, depth+1) {
			return false
		}
		p.space()
		switch p.peek() {
		case ',':
			p.i++
		case '}':
			p.i++
			return true
		default:
			return false
		}
	}
}

func (p *jsonScan) array(path string, depth int) bool {
	p.i++
	p.space()
	if p.peek() == ']' {
		p.i++
		return true
	}
	for n := 0; ; n++ {
		if !p.value(path+"."+strconv.Itoa(n), depth+1) {
			return false
		}
		p.space()
		switch p.peek() {
		case ',':
			p.i++
		case ']':
			p.i++
			return true
		default:
			return false
		}
	}
}
