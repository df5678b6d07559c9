package dialect

import (
	"strconv"

	"example.org/tankhand/livelevel"
)

// A flipped bit or a lost character can turn a number into another that is well formed. It shows only by
// what came before: the value jumps, and damage to a number near the last one explains the jump exactly.
// Such a report is held back; if the next one stays where it went, the water did that.

// figure is what the decoder remembers of a column, in units of its last digit.
type figure struct {
	now, last, held uint64
	top             uint64
	fresh, known    bool
	blamed          bool  // for it the report was held back
	step            int64 // usual change from report to report, in sixteenths
}

const (
	whyDigits  = "the digits look damaged: one more or less, or one bit of them, and the value goes on"
	maxAround  = 150 // how far from the last value numbers are tried, in units of the last digit
	maxStep    = 1 << 30
	largest    = 1 << 62 // far from where counting on would begin anew
	manySteps  = 6       // usual changes that are no jump
	fewDigits  = 4       // units of the last digit that are none either
	farBeyond  = 5       // times the largest value seen
	sixteenths = 4       // as a shift
	fewUnseen  = 4       // jumps taken for damage although no line is damaged for the eye,
	rareUnseen = 200     // and one more in so many reports
	manyJumps  = 64
)

func (g *figure) read(m uint64) { g.now, g.fresh = min(m, largest), true }

// near is how far a value may lie from the last one without being a jump.
func (g *figure) near() uint64 { return fewDigits + uint64(manySteps*g.step>>sixteenths) }

func apartBy(a, b uint64) uint64 {
	if a > b {
		return a - b
	}
	return b - a
}

// believe moves on to the value now read.
func (g *figure) believe() {
	if !g.fresh {
		return
	}
	if g.known {
		d := int64(min(apartBy(g.now, g.last), maxStep)) << sixteenths
		g.step += (min(d, 4*g.step+fewDigits<<sixteenths) - g.step) >> 4
	}
	g.last, g.known, g.fresh = g.now, true, false
	g.top = max(g.top, g.now)
}

// jumps tells whether the value now read lies further from the last one than is usual.
func (g *figure) jumps() bool {
	return g.fresh && g.known && apartBy(g.now, g.last) > g.near()
}

// damaged tells whether the value now read jumps and is explained by damage to a number near the last one or to one
// that stands for a lost echo: by lost or added digits, and by a flipped bit or digits swapped if flips is set.
func (g *figure) damaged(flips bool, lost []uint64) bool {
	if !g.jumps() || !flips && g.bounces() {
		return false
	}
	var a, b [20]byte
	now := strconv.AppendUint(a[:0], g.now, 10)
	around := min(g.near(), maxAround)
	for q := g.last - min(around, g.last); q <= g.last+around; q++ {
		if was := strconv.AppendUint(b[:0], q, 10); explains(was, now, flips) {
			return true
		}
	}
	for _, l := range lost {
		if was := strconv.AppendUint(b[:0], l, 10); flips && len(was) >= 3 && explains(was, now, flips) {
			return true
		}
	}
	return false
}

// bounces tells whether the value is about twice the last one, or half of it: the second bounce of a ping, which makes
// 199.5 of 99.5 as a digit too many would.
func (g *figure) bounces() bool {
	low, high := min(g.now, g.last), max(g.now, g.last)
	return apartBy(high, 2*low) <= low/16
}

// explains tells whether a was damaged into b: a digit or more lost or added, one bit of one digit another, or two
// neighbours swapped.
func explains(a, b []byte, flips bool) bool {
	switch {
	case len(a) > len(b):
		return within(b, a)
	case len(a) < len(b):
		return within(a, b)
	}
	return flips && (oneBit(a, b) || swapped(a, b))
}

func oneBit(a, b []byte) bool {
	bits := 0
	for i := range a {
		if x := a[i] ^ b[i]; x&(x-1) != 0 {
			return false
		} else if x != 0 {
			bits++
		}
	}
	return bits == 1
}

func swapped(a, b []byte) bool {
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	return i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && string(a[i+2:]) == string(b[i+2:])
}

// within tells whether the digits of a stand in b, in their order.
func within(a, b []byte) bool {
	i := 0
	for _, c := range b {
		if i < len(a) && a[i] == c {
			i++
		}
	}
	return i == len(a)
}

// dirt tells whether other damage was seen, so that a flipped bit is no surprise.
func (d *doubts) dirt() bool { return d.dirty > 0 && d.broken <= 3*d.dirty }

// garbled tells whether one of the columns is damaged so. That a bit flipped is believed only where other damage was
// seen: a true false echo may look the same. A digit lost or added is, too, where the distance no longer goes with the
// level, or far beyond all that was seen. Where the distance and what is computed from it jump together, the sensor
// said so; and so it did where jumps come often, damage explains few of them, and no other line is damaged.
func (dec *Decoder) garbled(r *livelevel.Reading) bool {
	d := &dec.doubt
	flips, jumped, explained, levels := d.dirt(), false, false, 0
	for _, p := range dec.figures {
		if !p.fig.jumps() {
			continue
		}
		jumped = true
		if p.tellsLevel() {
			levels++
		}
		if !explained && (flips || p.placed || p.fig.now > farBeyond*p.fig.top || d.rel.breaks(r)) {
			explained = p.fig.damaged(flips, p.lostWhole)
		}
	}
	if !jumped {
		return false
	}
	explained = explained && (levels < 2 || d.rel.breaks(r))
	d.count(explained)
	return explained && (3*d.explained >= 2*d.jumps || d.broken <= 3*d.dirty+fewUnseen+dec.reports/rareUnseen)
}

// count counts a jump; old ones fade, for a feed may be clean at first and dirty later.
func (d *doubts) count(explained bool) {
	if d.jumps++; explained {
		d.explained++
	}
	if d.jumps >= manyJumps {
		d.jumps, d.explained = d.jumps/2, d.explained/2
	}
}

// blame notes which columns made the report at hand look damaged.
func (dec *Decoder) blame() {
	flips := dec.doubt.dirt()
	for _, p := range dec.figures {
		p.fig.blamed = p.fig.damaged(flips, p.lostWhole)
	}
}

// stays tells whether the values now read stay where those of the held report went: a level close by, another value
// at least nearer to it than to what was before, for a flow or a current may still rise.
func (dec *Decoder) stays() bool {
	for _, p := range dec.figures {
		g := &p.fig
		switch {
		case !g.blamed:
			continue
		case !g.fresh && p.tellsLevel():
			return false // nothing confirms it
		case !g.fresh:
			continue
		}
		off := apartBy(g.now, g.held)
		if p.tellsLevel() && off > max(g.near(), apartBy(g.held, g.last)/4) || off > apartBy(g.now, g.last) {
			return false
		}
	}
	return true
}

// farOff tells whether the report held back went so far that two damaged lines in a row are likelier than the water.
func (dec *Decoder) farOff() bool {
	for _, p := range dec.figures {
		if g := &p.fig; g.blamed && p.tellsLevel() && apartBy(g.held, g.last) > g.last/4 {
			return true
		}
	}
	return false
}

// holdFigures keeps the values of the report held back.
func (dec *Decoder) holdFigures() {
	for _, p := range dec.figures {
		p.fig.held, p.fig.fresh = p.fig.now, false
	}
}

func (dec *Decoder) believeFigures() {
	for _, p := range dec.figures {
		p.fig.believe()
	}
}
