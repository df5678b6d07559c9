package port

import (
	"encoding/json"
	"fmt"
	"math"
)

// capRecord is a record of a capture with its bytes as they came.
type capRecord struct {
	ms    float64
	data  []byte
	event string
}

// damaged is said of a record that cannot be read: the rest of the capture is still good.
const damaged = "damaged"

// read takes one line; its bytes go where those of the record before were.
func (r *capRecord) read(line []byte) error {
	if r.plain(line) {
		return nil
	}
	j := CaptureRecord{Ms: math.NaN()}
	if err := json.Unmarshal(line, &j); err != nil {
		return fmt.Errorf("reading a record of a capture: %w", err)
	}
	if math.IsNaN(j.Ms) || j.Ms < 0 || j.Ms > 1e13 {
		return fmt.Errorf("reading a record of a capture: its time of %g ms is none", j.Ms)
	}
	r.ms, r.event = j.Ms, j.Event
	var err error
	if r.data, err = DecodeBytes(r.data[:0], j.Data); err != nil {
		r.event, r.data = damaged, r.data[:0]
	}
	return nil
}

// plain reads a record as a recorder writes it, {"ms":12.4,"data":"..."}, nearly all there are in a week of
// feed, without the work of a decoder for any JSON. Whatever is not quite that is left to the other.
func (r *capRecord) plain(line []byte) bool {
	p := jsonText{b: line, ok: true}
	p.word('{')
	p.name(`"ms"`)
	ms := p.number()
	p.word(',')
	p.name(`"data"`)
	data := p.bytes(r.data[:0])
	p.word('}')
	p.space()
	r.data = data
	if !p.ok || p.i < len(p.b) {
		return false
	}
	r.ms, r.event = ms, ""
	return true
}

// jsonText is JSON being read from its front; ok falls at the first thing that is not as expected.
type jsonText struct {
	b  []byte
	i  int
	ok bool
}

func (p *jsonText) space() {
	for p.i < len(p.b) && (p.b[p.i] == ' ' || p.b[p.i] == '\n' || p.b[p.i] == '\r') {
		p.i++
	}
}

// word is one sign, with blanks before it.
func (p *jsonText) word(c byte) {
	p.space()
	if p.i < len(p.b) && p.b[p.i] == c {
		p.i++
		return
	}
	p.ok = false
}

func (p *jsonText) name(quoted string) {
	p.space()
	if len(p.b)-p.i >= len(quoted) && string(p.b[p.i:p.i+len(quoted)]) == quoted {
		p.i += len(quoted)
		p.word(':')
		p.space()
		return
	}
	p.ok = false
}

// number is one without sign and exponent, of at most 15 digits: those are exact, divided by a power of ten that is.
func (p *jsonText) number() float64 {
	start, scale := p.i, 1.0
	m := p.digits(0, &scale, false)
	whole := p.i - start
	if whole == 0 || whole > 1 && p.b[start] == '0' {
		p.ok = false
	}
	if p.i < len(p.b) && p.b[p.i] == '.' {
		p.i++
		point := p.i
		m = p.digits(m, &scale, true)
		p.ok = p.ok && p.i > point
	}
	p.ok = p.ok && p.i-start <= 15 && m <= 1e13*scale
	return m / scale
}

func (p *jsonText) digits(m float64, scale *float64, decimals bool) float64 {
	for ; p.i < len(p.b) && p.b[p.i]-'0' <= 9; p.i++ {
		m = m*10 + float64(p.b[p.i]-'0')
		if decimals {
			*scale *= 10
		}
	}
	return m
}

// bytes appends what a string stands for, each code point a byte.
func (p *jsonText) bytes(dst []byte) []byte {
	if p.i >= len(p.b) || p.b[p.i] != '"' {
		p.ok = false
		return dst
	}
	for p.i++; p.i < len(p.b); p.i++ {
		c := p.b[p.i]
		switch {
		case c == '"':
			p.i++
			return dst
		case c == '\\':
			c = p.escape()
		case c < ' ':
			p.ok = false
		case c >= 0x80:
			c = p.wide()
		}
		if !p.ok {
			return dst
		}
		dst = append(dst, c)
	}
	p.ok = false
	return dst
}

// escape is the byte of a backslash and what follows; it stays on the last sign of it.
func (p *jsonText) escape() byte {
	p.i++
	if p.i < len(p.b) {
		switch c := p.b[p.i]; c {
		case 'r':
			return '\r'
		case 'n':
			return '\n'
		case 't':
			return '\t'
		case '"', '\\', '/':
			return c
		}
	}
	p.ok = false
	return 0
}

// wide is a byte from 0x80 up, which UTF-8 writes as two.
func (p *jsonText) wide() byte {
	c := p.b[p.i]
	p.i++
	if c&^1 == 0xc2 && p.i < len(p.b) && p.b[p.i]&0xc0 == 0x80 {
		return c<<6 | p.b[p.i]&0x3f
	}
	p.ok = false
	return 0
}
