package diagnostics

import (
	"math"
)

// lossContext asks when echoes are lost: by level, by pump, by minute and by hour. Counts only.
type lossContext struct {
	bins     [levelBins]pingSlot // by the last good distance, 5 cm each
	last     float64
	have     bool
	on, off  pingSlot
	hours    [24]pingSlot
	minutes  float64 // minutes seen, and those with many losses
	heavy    float64
	inHeavy  float64 // losses in those
	total    float64
	minuteAt float64
	minute   pingSlot
}

const (
	levelBins = 200
	levelBin  = 0.05
)

func (c *lossContext) add(s *item) {
	miss := 0.0
	if s.lost {
		miss = 1
	}
	if s.seen {
		c.last, c.have = s.u, true
	}
	if c.have {
		b := &c.bins[min(max(int(c.last/levelBin), 0), levelBins-1)]
		b.pings++
		b.lost += miss
	}
	if s.pump >= 0 {
		p := &c.off
		if s.pump == 1 {
			p = &c.on
		}
		p.pings++
		p.lost += miss
	}
	c.minute.pings++
	c.minute.lost += miss
	if !s.r.Time.IsZero() && miss > 0 {
		c.hours[s.r.Time.Hour()].lost++
	}
}

// beat closes a minute: heavy ones hold more than a fifth of losses.
func (c *lossContext) beat(t, _, _ float64) {
	if t-c.minuteAt < 60 || c.minute.pings < 5 {
		return
	}
	c.minutes++
	c.total += c.minute.lost
	if c.minute.lost > 0.2*c.minute.pings {
		c.heavy++
		c.inHeavy += c.minute.lost
	}
	c.minute, c.minuteAt = pingSlot{}, t
}

// word picks the strongest pattern; each needs most of the losses in a small part of the pings.
func (c *lossContext) word(lost, pings float64, d *digest, lasted float64) string {
	if lost < 20 || lost < 0.01*pings {
		return ""
	}
	near, far := c.ends(lost, d)
	switch {
	case lasted > 20*3600 && c.worstHours() > 0.75*lost:
		return "certain-hours"
	case near:
		return "near-full"
	case far:
		return "near-empty"
	case c.on.pings >= 50 && c.off.pings >= 50 && c.on.lost > 0.7*lost && c.on.lost/c.on.pings > 3*c.off.lost/c.off.pings:
		return "with-pump"
	case c.minutes >= 8 && c.heavy >= 2 && c.heavy < 0.5*c.minutes && c.inHeavy > 0.8*c.total:
		return "comes-and-goes"
	}
	return "any-time"
}

// worstHours are the losses of the worst eight hours of the day in a row.
func (c *lossContext) worstHours() (most float64) {
	for h := range 24 {
		sum := 0.0
		for i := range 8 {
			sum += c.hours[(h+i)%24].lost
		}
		most = math.Max(most, sum)
	}
	return most
}

// ends asks whether the losses sit in the nearest or farthest quarter of the distances seen.
func (c *lossContext) ends(lost float64, d *digest) (near, far bool) {
	lo, hi := -1, -1
	for i, b := range c.bins {
		if b.pings >= 5 {
			if lo < 0 {
				lo = i
			}
			hi = i
		}
	}
	if hi-lo < 4 {
		return false, false
	}
	quarter := (hi - lo + 1) / 4
	return c.packed(lo, lo+quarter, lost), c.packed(hi-quarter, hi, lost)
}

// packed tells whether most losses stand in the bins from i to j, at thrice the share of the rest.
func (c *lossContext) packed(i, j int, lost float64) bool {
	var in, out pingSlot
	for k, b := range c.bins {
		p := &out
		if k >= i && k <= j {
			p = &in
		}
		p.pings += b.pings
		p.lost += b.lost
	}
	return in.pings >= 20 && out.pings >= 50 && in.lost > 0.7*lost && in.lost/in.pings > 3*(out.lost/out.pings)
}
