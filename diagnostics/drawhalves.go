package diagnostics

import (
	"fmt"
	"math"
	"slices"

	"example.org/tankhand/livelevel/signal"
)

// drawHalves keeps what leaves the tank with the pump off by night (22:00 to 06:00) and by day apart. By night
// hardly anybody draws, so what half of the time is exceeded then is a leak, or a tap that is always open; by
// day the mean counts, for taps are opened now and then (the least night flow of water distribution; from memory).
type drawHalves struct {
	counted    int // pieces taken so far
	night, day drawHalf
	untold     int // pieces without a time of day
	chunk      drawChunk
}

// drawHalf is one of them: the mean change between blocks over all of its time, for the mean, and the slopes of its
// last pieces, for their median.
type drawHalf struct {
	sum, time float64
	all       signal.Moments
	last      [64]float64
	n         int
}

// drawChunk is the change of the amount between two blocks with the pump off, some minutes apart.
type drawChunk struct {
	on             bool
	night          bool
	fromT, fromY   float64
	untilT, untilY float64
}

const (
	chunkSeconds = 300.0
	chunkLeast   = 60.0
)

// block adds what left since the block before. What a block of two populations shows is no water.
func (h *drawHalves) block(b *block, amount float64, slot int16) {
	c := &h.chunk
	mid := (b.from + b.to) / 2
	if b.pump != 0 || b.two || slot < 0 || c.on && (b.from-c.untilT > chunkLeast || isNight(slot) != c.night) {
		h.cut()
	}
	if b.pump != 0 || b.two || slot < 0 {
		return
	}
	if !c.on {
		*c = drawChunk{true, isNight(slot), mid, amount, mid, amount}
		return
	}
	c.untilT, c.untilY = mid, amount
	if c.untilT-c.fromT >= chunkSeconds {
		h.cut()
		*c = drawChunk{true, isNight(slot), mid, amount, mid, amount}
	}
}

func (h *drawHalves) cut() {
	c := &h.chunk
	if span := c.untilT - c.fromT; c.on && span >= chunkLeast {
		half := &h.day
		if c.night {
			half = &h.night
		}
		half.sum += c.fromY - c.untilY
		half.time += span
		half.all.Add((c.fromY - c.untilY) / span)
	}
	c.on = false
}

func (h *drawHalf) add(flow float64) {
	h.last[h.n%len(h.last)] = flow
	h.n++
}

// take adds the pieces that were closed since the last call to the half of the day that it is now.
func (h *drawHalves) take(p *pieces, slot int16) {
	for h.counted = max(h.counted, p.n-len(p.fit)); h.counted < p.n; h.counted++ {
		i := h.counted % len(p.fit)
		switch {
		case slot < 0:
			h.untold++
		case isNight(slot):
			h.night.add(-p.fit[i].mid)
		default:
			h.day.add(-p.fit[i].mid)
		}
	}
}

// fewestPieces of a half before it has a figure: half an hour in all, as the order statistics need.
const fewestPieces = 6

// median with its 95 % interval by order statistics, whatever the distribution (the sign test turned round).
func (h *drawHalf) median() slopeFit {
	k := min(h.n, len(h.last))
	if k < fewestPieces {
		return slopeFit{math.NaN(), math.NaN(), math.NaN()}
	}
	w := append([]float64(nil), h.last[:k]...)
	slices.Sort(w)
	c := signBound(k)
	return slopeFit{(w[(k-1)/2] + w[k/2]) / 2, w[c], w[k-1-c]}
}

// signBound is how many values may be cut off at either end so that the rest holds the median in 95 of 100 cases.
func signBound(n int) int {
	c := 0
	for c+1 < n/2 && 1-signal.BinomialTail(c+2, n, 0.5) <= 0.025 {
		c++
	}
	return c
}

// mean with its 95 % interval by Student's t.
func (h *drawHalf) mean() slopeFit {
	if h.all.N() < fewestPieces {
		return slopeFit{math.NaN(), math.NaN(), math.NaN()}
	}
	n, mid := float64(h.all.N()), h.sum/h.time
	half := signal.StudentQuantile(0.975, n-1) * h.all.SD() / math.Sqrt(n)
	return slopeFit{mid, mid - half, mid + half}
}

func (h *drawHalves) figures(s *surface) []Figure {
	night, day := s.flow(h.night.median()), s.flow(h.day.mean())
	return []Figure{{"night_m3_per_h", night.mid, "m3/h"}, {"night_low", night.low, "m3/h"}, {"night_high", night.high, "m3/h"},
		{"day_m3_per_h", day.mid, "m3/h"}, {"day_low", day.low, "m3/h"}, {"day_high", day.high, "m3/h"}}
}

// why tells both halves, or what is missing to tell them apart.
func (h *drawHalves) why(s *surface) string {
	if h.counted > 0 && h.untold == h.counted {
		return "; night and day cannot be told apart, for the feed gives no time of day"
	}
	text := func(what string, f slopeFit) string {
		if math.IsNaN(f.mid) {
			return fmt.Sprintf("%s cannot be told without half an hour of it with the pump off", what)
		}
		if fl := s.flow(f); !math.IsNaN(fl.mid) {
			return fmt.Sprintf("%s %s m3/h (%s to %s)", what, number(fl.mid), number(fl.low), number(fl.high))
		}
		return fmt.Sprintf("%s %s mm/h (%s to %s)", what, number(1000*perHour*f.mid), number(1000*perHour*f.low), number(1000*perHour*f.high))
	}
	return "; " + text("by night at all times", h.night.median()) + ", " + text("by day on the mean", h.day.mean())
}
