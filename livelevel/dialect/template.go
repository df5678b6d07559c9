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

	scale, offset, least, most float64 // how the number becomes SI, and what can be
	factor                     float64 // the scale for a number without its decimal sign
	decimals                   int     // its digits behind that
}

// ready works out how the numbers of a part are taken; false when the slow way must judge them.
func (p *part) ready() bool {
	if p.p == nil || p.stamp {
		return true
	}
	u := p.p.unit
	if p.unit != nil && p.unit != u {
		if u != nil && u.dim != p.unit.dim {
			return false
		}
		u = p.unit
	}
	if p.scale = 1; u != nil {
		p.scale, p.offset = u.scale, u.offset
	}
	p.decimals = int(p.p.decimals)
	p.factor = p.scale / pow10[p.decimals]
	p.least, p.most = roleLimits[p.p.role][0], roleLimits[p.p.role][1]
	return true
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
		if runsInto(t.parts[i].text) {
			return
		}
		t.parts[i].text = bytes.Clone(t.parts[i].text)
		if !t.parts[i].ready() {
			return
		}
	}
	if len(dec.fast) >= maxFast {
		copy(dec.fast[1:], dec.fast[:maxFast-1])
		dec.fast[0] = t
		return
	}
	dec.fast = append([]*template{t}, dec.fast...)
}

// runsInto tells whether a word ends so that a number behind it may be the rest of it: a look made of a damaged line
// would take 0.533 for the word 0. and the number 533.
func runsInto(text []byte) bool {
	n := len(text) - 1
	if n >= 0 && (text[n] == '.' || text[n] == ',') {
		n--
	}
	return n >= 0 && isDigit(text[n])
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
	*r = t.base // what the words say
	i := 0
	for k := range t.parts {
		p := &t.parts[k]
		if len(b)-i < len(p.text) || len(p.text) == 1 && b[i] != p.text[0] || len(p.text) > 1 && string(b[i:i+len(p.text)]) != string(p.text) {
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
	return string(b[i:]) == string(t.tail)
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
	sign := 0
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		sign = 1
	}
	point := byte('.')
	if comma {
		point = ','
	}
	m, whole, n := quickNumber(b[sign:], point)
	pl := p.p
	if n == 0 {
		return 0
	}
	if pl == nil {
		return sign + n
	}
	if whole == 0 && !pl.bare || pl.thinner(int8(whole)) || whole > 1 && b[sign] == '0' && !pl.padded {
		return 0
	}
	if p.decimals != int(pl.decimals) {
		return 0 // the habit is another since
	}
	decimals := max(0, n-whole-1)
	if decimals == p.decimals && sign == 0 {
		return p.take(m, n, r)
	}
	num := number{m: m, decimals: int8(decimals)}
	if decimals != p.decimals {
		if !pl.mixed || pl.told >= settledAfter && pl.miswritten(num) {
			return 0
		}
		pl.counts[min(decimals, len(pl.counts)-1)]++
	}
	v := float64(m) / pow10[decimals]
	if b[0] == '-' {
		v = -v
	}
	return p.believe(v, pl.inLastDigits(num), sign+n, r)
}

// take is believe for a number with the usual decimals: all but the last step is counted in its last digits.
func (p *part) take(m uint64, n int, r *livelevel.Reading) int {
	pl := p.p
	for _, l := range pl.lostWhole {
		if m == l {
			return 0
		}
	}
	if m > pl.topWhole {
		v := float64(m) / pow10[p.decimals]
		if isEcho(pl.role) && v > 1.2*pl.top {
			return 0 // perhaps the end of the range: to be looked at
		}
		pl.top = max(pl.top, v)
		pl.topWhole = m
	}
	if !pl.formed {
		pl.ends(m)
	}
	return p.keep(float64(m)*p.factor+p.offset, m, n, r)
}

// believe takes the value if it is a good one; 0 else.
func (p *part) believe(v float64, m uint64, n int, r *livelevel.Reading) int {
	pl := p.p
	for _, l := range pl.lostNum {
		if v == l {
			return 0
		}
	}
	if v > pl.top {
		if isEcho(pl.role) && v > 1.2*pl.top {
			return 0 // perhaps the end of the range: to be looked at
		}
		pl.top = v
	}
	return p.keep(v*p.scale+p.offset, m, n, r)
}

// keep sets the value, in SI, where it lies in the range of its role; 0 else.
func (p *part) keep(si float64, m uint64, n int, r *livelevel.Reading) int {
	pl := p.p
	if si < p.least || si > p.most {
		return 0
	}
	pl.seen++
	pl.bad = 0
	pl.fig.read(m)
	r.Set(pl.role, si)
	return n
}
