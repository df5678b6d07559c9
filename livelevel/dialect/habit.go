package dialect

import "math"

// A controller writes all values of a field in one way: so many decimals, zeros at the end or not, leading zeros to
// a width or not. What is written in another way was damaged, however good the number is.

const (
	settledAfter = 12 // values that make a way of writing a habit
	written      = 2  // values with a zero at the end that show that such are written out
	floatNoise   = 5  // decimals too many that only a binary fraction printed in full has (43.300000000000004)
)

// habit counts the decimals: those that most values have are the usual ones, whatever damage the first had. A zero
// says nothing of them where others are written with as many as they need.
func (p *plan) habit(n number) {
	if n.m == 0 && p.seen > 0 {
		return
	}
	d := min(n.decimals, int8(len(p.counts)-1))
	p.counts[d]++
	p.mixed = p.mixed || n.exponent || p.seen > 0 && n.decimals != p.decimals
	if p.seen > 0 && (d == p.decimals || p.counts[d] <= p.counts[min(p.decimals, int8(len(p.counts)-1))]) {
		return
	}
	p.decimals, p.fig.known, p.topWhole, p.lostWhole, p.zeros = d, false, 0, p.lostWhole[:0], 0
	p.told, p.formed = 0, false
	for _, l := range p.lostNum {
		if l >= 0 {
			p.lostWhole = append(p.lostWhole, uint64(math.Round(l*pow10[d])))
		}
	}
}

// note keeps how good values of this field are written.
func (p *plan) note(n number, hasUnit bool) {
	if p.seen == 0 {
		p.width = n.whole
	}
	p.habit(n)
	if n.decimals == p.decimals {
		p.ends(n.m)
	}
	if n.padded && p.pads < probation {
		p.pads++
		p.padded = p.pads == probation // fewer may be damage
	}
	if n.whole != p.width {
		p.width = -1
	}
	p.units = p.units && hasUnit
	p.bare = p.bare || n.whole == 0
	p.seen++
	p.bad = 0
	if p.watched {
		p.fig.read(p.inLastDigits(n))
	}
	p.top = max(p.top, n.v)
}

// ends takes the digits of a value with all its decimals: how many such came, and with a zero at the end.
func (p *plan) ends(m uint64) {
	if m > 0 && p.told < settledAfter {
		p.told++
	}
	if p.zeros < written && m%10 == 0 && m > 0 {
		p.zeros++
	}
	p.formed = p.told >= settledAfter && (p.zeros >= written || p.decimals == 0)
}

// odd tells in what a value is written unlike all the others: a sign of damage.
func (p *plan) odd(n number, hasUnit bool) string {
	if p.seen < settledAfter {
		return ""
	}
	if n.decimals != p.decimals && p.told >= settledAfter && p.bad < probation && p.miswritten(n) {
		return "the number has lost or gained decimals"
	}
	if n.whole == 0 && !p.bare {
		return "the number has lost its first digits"
	}
	if p.thinner(n.whole) || n.padded && !p.padded && n.whole != p.width && p.bad < probation {
		return "the number has lost or gained digits"
	}
	if p.units && !hasUnit {
		return "the unit is missing"
	}
	return ""
}

// miswritten tells whether a number with more or fewer decimals than usual is damage. More than usual are never
// written, but for binary fractions printed in full. Fewer are, by controllers that leave out zeros at the end: then
// no such zero was ever seen, and the value is near the last one. Decimals that come again and again are a habit.
func (p *plan) miswritten(n number) bool {
	if n.exponent || n.m == 0 && p.zeros < written && !p.zeroes || p.counts[min(n.decimals, int8(len(p.counts)-1))] > uint32(written+p.seen>>6) {
		return false
	}
	if more := n.decimals - p.decimals; more > 0 {
		return more < floatNoise
	}
	if p.zeroes && n.decimals == 0 {
		return true // who writes 0.0 writes 9.0 as well
	}
	return p.zeros >= written || p.fig.known && !p.goesOn(n)
}

// thinner tells whether a number breaks the habit of a fixed width.
func (p *plan) thinner(whole int8) bool { return p.padded && p.width > 0 && whole != p.width }

// inLastDigits is a number in units of the last digit that the field usually has.
func (p *plan) inLastDigits(n number) uint64 {
	switch d := n.decimals - p.decimals; {
	case d < 0 && d > -8:
		return n.m * uint64(pow10[-d])
	case d > 0:
		return n.m / uint64(pow10[d])
	}
	return n.m
}

// goesOn tells whether a number with more or fewer decimals than usual is near the last one: controllers
// that leave out a zero at the end write such.
func (p *plan) goesOn(n number) bool {
	now := p.inLastDigits(n)
	within := p.fig.near()
	if !p.tellsLevel() {
		within = max(within, p.fig.last/8)
	}
	return apartBy(now, p.fig.last) <= within
}

// stump tells whether a cut left this of a number: 1. of 1.043, 0 of 0.477, or R0 of R0477. A zero alone may be a lost
// echo as well; that it is once it came often, or where the last value did not begin with a zero, and it is not where
// that is written 0.000.
func (dec *Decoder) stump(p *plan, s *slot, line []byte) bool {
	if s.num.m == 0 && p.padded && p.seen >= settledAfter && p.thinner(s.num.whole) {
		return dec.rareStump(p)
	}
	if s.num.decimals > 0 || p.decimals == 0 || p.seen == 0 {
		p.zeroes = p.zeroes || s.num.m == 0 && s.num.decimals > 0
		return false
	}
	if sign := byte('.'); s.hi < len(line) {
		if dec.scan.comma {
			sign = ','
		}
		if line[s.hi] == sign && (s.hi+1 == len(line) || line[s.hi+1] == sign) {
			return true
		}
	}
	if s.num.m != 0 || s.hi != len(line) || p.decimals < 2 || !p.fig.known || p.fig.last >= uint64(pow10[p.decimals]) {
		return false
	}
	return dec.rareStump(p) || p.zeroes
}

// rareStump counts a zero that a cut may have left. Where such came often, and little else was refused, it is how this
// controller says that it heard nothing.
func (dec *Decoder) rareStump(p *plan) bool {
	p.stumps++
	return p.stumps < often || 2*(dec.doubt.dirty-p.stumps) > p.stumps
}
