package dialect

import (
	"bytes"

	"example.org/tankhand/livelevel"
)

// template is a line that was decoded, with its numbers taken out: the next line that looks the same is
// read in one pass, its words standing for what they stood for then. Nothing is allocated.
type template struct {
	parts    []part
	tail     []byte
	base     livelevel.Reading // what the words say
	echoLost bool
}

// part is a piece of literal text and the value behind it.
type part struct {
	text  []byte
	p     *plan // nil: a value nobody asks for
	stamp bool
	unit  *unit // the value's own unit, part of the next literal
}

// remember makes a template of the line just decoded.
func (dec *Decoder) remember(line []byte, hits []hit, r *livelevel.Reading, lost bool) {
	if dec.d.Kind == NMEA || dec.reports < 2 || len(line) > 1024 {
		return
	}
	t := &template{base: *r, echoLost: lost}
	from := 0
	for i := range dec.scan.slots {
		s := &dec.scan.slots[i]
		p := hitOf(hits, i)
		if s.kind == slotWord || p != nil && (p.role == livelevel.Fault || p.role == livelevel.ResetCause || p.isFlag() || lost && p.lostState() == lostEcho) {
			continue // stays as it is
		}
		if p == nil && s.kind == slotNumber && s.hi-s.lo > maxDigits {
			continue
		}
		t.parts = append(t.parts, part{text: trimRight(line[from:s.lo]), p: p, stamp: s.kind == slotStamp, unit: s.unit})
		if p != nil {
			t.base.Clear(p.role)
		}
		from = s.hi
	}
	t.tail = bytes.Clone(line[from:])
	for i := range t.parts {
		t.parts[i].text = bytes.Clone(t.parts[i].text)
	}
	if len(dec.fast) >= maxFast {
		copy(dec.fast[1:], dec.fast[:maxFast-1])
		dec.fast[0] = t
		return
	}
	dec.fast = append([]*template{t}, dec.fast...)
}

func hitOf(hits []hit, slot int) *plan {
	for _, h := range hits {
		if h.slot == slot {
			return h.p
		}
	}
	return nil
}

func trimRight(b []byte) []byte { return bytes.TrimRight(b, " ") }

// match reads the line into r if it looks like the template and every value is good.
func (t *template) match(b []byte, comma bool, r *livelevel.Reading) bool {
	i := 0
	for k := range t.parts {
		p := &t.parts[k]
		if len(b)-i < len(p.text) || string(b[i:i+len(p.text)]) != string(p.text) {
			return false
		}
		i += len(p.text)
		for i < len(b) && b[i] == ' ' {
			i++
		}
		n := p.read(b[i:], comma, r)
		if n == 0 {
			return false
		}
		i += n
	}
	if string(b[i:]) != string(t.tail) {
		return false
	}
	t.words(r)
	return true
}

// words adds what the words of the template say.
func (t *template) words(r *livelevel.Reading) {
	r.Merge(&t.base)
}

// read takes one value; 0 when it is none, or not a good one.
func (p *part) read(b []byte, comma bool, r *livelevel.Reading) int {
	if p.stamp {
		sec, _, n := stamp(b)
		if p.p != nil {
			r.Set(p.p.role, sec)
		}
		return n
	}
	num, n := parseNumber(b, comma)
	pl := p.p
	if n == 0 || pl == nil {
		return n
	}
	if !pl.mixed && num.decimals != pl.decimals || num.exponent || num.whole == 0 && !pl.bare || pl.thinner(num) {
		return 0
	}
	v, state, _ := pl.take(num, p.unit)
	if state != good {
		return 0
	}
	pl.seen++
	pl.bad = 0
	pl.fig.read(num.m) // in the decimals of the habit, or mixed
	if num.v > pl.top {
		pl.top = num.v
	}
	r.Set(pl.role, v)
	return n
}
