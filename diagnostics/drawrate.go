package diagnostics

import (
	"fmt"
	"math"
)

// drawRate watches the level while the pump is off.
var drawRate = &kind{
	id: "draw-rate", make: func(s setup) observer { return newDrawWatch(s) },
	window:  3600e9,
	aspects: []Aspect{{"trend", []string{"falls", "steady", "rises", "rises-past-full"}}},
}

type drawWatch struct {
	passive
	m      *drawMeter // over a whole feed the digest's own
	h      *holder
	pump   bool
	halves drawHalves
	least  float64
	source string
}

func newDrawWatch(s setup) *drawWatch {
	w := &drawWatch{passive: passive{s}}
	if w.m = &s.d.draw; !s.whole {
		w.m = &drawMeter{s: surface{d: s.d}}
	}
	w.h = newHolder(s.aspects[0], 30, "rises", "rises-past-full")
	w.h.figure = func() []Figure { return []Figure{{"draw_m3_per_h", -w.m.s.flow(w.m.mean()).mid, "m3/h"}} }
	w.h.worst = []int{1, 0, 2, 3}
	w.least, w.source = limit(s.sheet, "draw-rate.rises", 0.01)
	return w
}

func (w *drawWatch) sample(s *item) {
	w.pump = w.pump || s.pump >= 0
	if !w.whole {
		w.m.sample(s)
	}
}

func (w *drawWatch) block(b *block) { w.halves.block(b, w.m.s.amount(b.u), w.d.s.slot) }

func (w *drawWatch) beat(t float64) {
	w.halves.take(&w.m.done, w.d.s.slot)
	if !w.m.s.trail.ripe(t) {
		return
	}
	if word := w.word(); word != "" {
		w.h.seeFrom(t, w.m.begun, word)
	}
}

// word of the present piece: a motion counts when its interval excludes none and it has gone further
// than waves or the display's step could make it.
func (w *drawWatch) word() string {
	tr := &w.m.s.trail
	if !w.m.active || tr.n < 5 || tr.span() < pieceLeast/2 {
		return ""
	}
	area := w.m.s.area()
	fit := tr.rough()
	gone := fit.mid / area * tr.span()
	least := math.Max(w.least, 2*w.d.step.size())
	if !math.IsNaN(w.d.spread) {
		least = math.Max(least, 2*w.d.spread)
	}
	past := w.m.s.at < w.d.marks.stopAt()-w.d.margin()
	switch {
	case math.IsNaN(gone):
		return ""
	case gone > least && fit.low > 0:
		if w.d.overfull = past; past {
			return "rises-past-full"
		}
		return "rises"
	case past && w.d.overfull && gone > -least:
		return "rises-past-full" // it stands at the overflow
	case gone < -least && fit.high < 0:
		w.d.overfull = false
		return "falls"
	case tr.span() >= 2*pieceLeast:
		return "steady"
	}
	return ""
}

func (w *drawWatch) finding(now float64) Finding {
	out := w.m.s.flow(w.m.mean())
	draw, low, high := -out.mid, -out.high, -out.low
	f := Finding{Check: w.id, Source: w.source, Evidence: w.d.span(w.from, now), Episodes: w.h.list(&w.setup, now),
		Limit:   "no rise with the pump off for half an hour, none at all past the full mark",
		Figures: []Figure{{"draw_m3_per_h", draw, "m3/h"}, {"draw_low", low, "m3/h"}, {"draw_high", high, "m3/h"}}}
	f.Figures = append(f.Figures, w.halves.figures(&w.m.s)...)
	word := w.h.word(w.whole, "")
	f.Grades = w.h.grade(&w.setup, word, now)
	f.Verdict = w.h.verdict(word)
	if word == "rises" && f.Grades[0].Held < duration(1800) {
		f.Verdict = Pass // rain on an open or roof-fed tank also rises
	}
	if f.Verdict != Fail {
		f.Episodes = nil
	}
	f.Why = fmt.Sprintf("with the pump off %s m3/h leaves the tank (95 %% interval %s to %s)", number(draw), number(low), number(high))
	switch {
	case !w.pump:
		f.Why, f.Missing = "the feed does not say what the relay does", "a pump or relay column in the feed"
	case word == "":
		f.Why, f.Missing = "the pump was not off for long enough", "two minutes with the pump off"
	case math.IsNaN(draw):
		rise := w.m.mean().mid * 1000 * perHour
		f.Why = fmt.Sprintf("with the pump off the level moves by %.3g mm/h; the tank's shape would make it a flow", rise)
	}
	if word != "" {
		f.Why += w.halves.why(&w.m.s)
	}
	return f
}
