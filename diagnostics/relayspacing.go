package diagnostics

import (
	"math"
	"slices"
)

// switchContext remembers the last switchings: how far apart, at which level, after a restart or not.
type switchContext struct {
	lengths [32]float64
	nl      int
	starts  [32]float64 // distances at starts and stops
	stops   [32]float64
	ns, np  int
	marked  int // at a known mark
	placed  int // with known distance and mark
	after   int // within 5 s of a restart
	n       int
	restart float64
	margin  float64
}

func (c *switchContext) length(s float64) {
	c.lengths[c.nl%len(c.lengths)] = s
	c.nl++
}

func (c *switchContext) add(s *item, d *digest) {
	c.n++
	if s.t-c.restart <= 5+3*d.period {
		c.after++
	}
	if !s.seen {
		return
	}
	c.margin = math.Max(d.margin(), 0.03)
	mark := d.marks.start()
	if s.edge > 0 {
		c.starts[c.ns%len(c.starts)] = s.own
		c.ns++
	} else {
		mark = d.marks.stopAt()
		c.stops[c.np%len(c.stops)] = s.own
		c.np++
	}
	if !math.IsNaN(mark) {
		c.placed++
		if math.Abs(s.own-mark) <= c.margin {
			c.marked++
		}
	}
}

// word needs four switchings.
func (c *switchContext) word(period float64) string {
	if c.n < 4 {
		return ""
	}
	k := min(c.nl, len(c.lengths))
	lengths := c.lengths
	mid := quickMedian(lengths[:k])
	off := 0.0
	for i := range k {
		lengths[i] = math.Abs(lengths[i] - mid)
	}
	off = madSigma * quickMedian(lengths[:k])
	switch {
	case 2*c.after > c.n:
		return "after-restarts"
	case k >= 4 && mid < 15 && off < math.Max(0.25*mid, period):
		return "even-and-quick"
	case c.placed >= 4 && 3*c.marked > 2*c.placed || c.placed < 4 && c.tight():
		return "near-a-mark"
	}
	return "at-any-level"
}

// tight tells whether all starts happen at one level and all stops at one level: a mark not told.
func (c *switchContext) tight() bool {
	a, b := c.starts, c.stops
	na, nb := min(c.ns, len(a)), min(c.np, len(b))
	if na < 2 || nb < 2 {
		return false
	}
	sa, sb := a[:na], b[:nb]
	slices.Sort(sa)
	slices.Sort(sb)
	return sa[na-1]-sa[0] < 2*c.margin && sb[nb-1]-sb[0] < 2*c.margin
}
