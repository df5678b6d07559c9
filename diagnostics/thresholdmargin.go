package diagnostics

import (
	"fmt"
	"math"

	"example.org/tankhand/livelevel/signal"
)

// thresholdMargin sets the band between start and stop against the spread of the reading.
var thresholdMargin = &kind{
	id: "threshold-margin", make: func(s setup) observer { return newMarginWatch(s) },
	aspects: []Aspect{{"band", []string{"far-too-small", "tight", "wide"}}},
}

type marginWatch struct {
	passive
	spread        logHist
	lag, n        float64 // lag-1 correlation, weighted
	blocks        int
	starts, stops [9]float64
	ns, np        int
	far, tight    float64
	source        string
}

func newMarginWatch(s setup) *marginWatch {
	w := &marginWatch{passive: passive{s}}
	w.far, w.source = limit(s.sheet, "threshold-margin.far-too-small", 3)
	w.tight, _ = limit(s.sheet, "threshold-margin.tight", 6)
	return w
}

func (w *marginWatch) sample(s *item) {
	switch {
	case !s.seen:
	case s.edge > 0:
		w.starts[w.ns%len(w.starts)] = s.u
		w.ns++
	case s.edge < 0:
		w.stops[w.np%len(w.stops)] = s.u
		w.np++
	}
}

func (w *marginWatch) block(b *block) {
	if b.n < minBlock {
		return
	}
	w.spread.add(b.spread, float64(b.n))
	w.lag += b.lag1 * float64(b.n)
	w.n += float64(b.n)
	w.blocks++
}

// band is the distance from the stop to the start: of the marks, or as seen over some cycles.
func (w *marginWatch) band() (band float64, from string) {
	if b := w.d.marks.start() - w.d.marks.stopAt(); !math.IsNaN(b) {
		return b, "the marks"
	}
	if w.ns >= 3 && w.np >= 3 {
		a, b := w.starts, w.stops
		return quickMedian(a[:min(w.ns, len(a))]) - quickMedian(b[:min(w.np, len(b))]), "the levels at which it switched"
	}
	return math.NaN(), ""
}

// false switches to be expected in an hour from the noise alone, standing one band from the other
// mark: success runs of independent readings, or Rice's rate where neighbours go together (waves).
func (w *marginWatch) falsePerHour(band, spread float64) float64 {
	n := int(math.Min(50, math.Max(1, w.sheet.Controller.Confirm.Or(1))))
	p := w.d.period
	if !(p > 0) || !w.d.timed || math.IsNaN(band) || math.IsNaN(spread) {
		return math.NaN()
	}
	if band <= 0 {
		return 3600 / (p * float64(n+1)) // it starts as it stops
	}
	if lag := w.lag / w.n; lag > 0.5 {
		rate := spread * math.Sqrt(2*(1-lag)) / p
		return 3600 * signal.RiceUpcrossings(spread, rate, band)
	}
	every := signal.FalseSwitching(band, spread, n).Samples
	if math.IsNaN(every) || math.IsInf(every, 0) {
		return 0
	}
	return 3600 / (p * every)
}

func (w *marginWatch) finding(now float64) Finding {
	all := w.spread.median(w.blocks)
	spread := all.mid
	band, from := w.band()
	rate := w.falsePerHour(band, spread)
	f := Finding{Check: w.id, Source: w.source, Evidence: w.d.span(w.from, now),
		Figures: []Figure{{"band_m", band, "cm"}, {"spread_m", spread, "cm"}, {"false_switches_per_h", rate, "1/h"},
			{"spread_low", all.low, "cm"}, {"spread_high", all.high, "cm"},
			{"false_low", w.falsePerHour(band, all.low), "1/h"}, {"false_high", w.falsePerHour(band, all.high), "1/h"}},
		Limit: fmt.Sprintf("a band of at least %.3g spreads", w.tight),
		Why:   fmt.Sprintf("start and stop lie %s apart (by %s), the reading scatters by %s", inLength(band), from, inLength(spread))}
	if !math.IsNaN(rate) {
		f.Why += fmt.Sprintf(": the noise alone would switch %s times an hour", number(rate))
	}
	switch {
	case math.IsNaN(band):
		f.Why, f.Missing = "neither the site sheet nor the feed tells where the pump starts and stops", "marks in the site sheet, or three cycles"
	case band < 0 && from != "the marks":
		f.Why = "it starts where the feed says the tank is fuller than where it stops"
		f.Missing = "a level that rises as the pump fills: perhaps the distance is taken for the level, or the other way round"
	case band > 0 && math.IsNaN(spread):
		f.Missing = "15 s of feed with at least 8 distances"
	default:
		w.judge(&f, band, spread, rate, now)
	}
	return f
}

func (w *marginWatch) judge(f *Finding, band, spread, rate, now float64) {
	perHour, _ := StartsLimit(w.sheet)
	word := "wide"
	switch {
	case band <= 0 || band < w.far*spread || rate > perHour:
		word = "far-too-small"
	case band < w.tight*spread || rate > 0.1:
		word = "tight"
	case w.cycle(band) < 3600/perHour:
		word = "tight"
		f.Why += fmt.Sprintf("; with half the pump's flow drawn off a cycle lasts only %s", lasting(w.cycle(band)))
	}
	f.Verdict = Pass
	if word != "wide" {
		f.Verdict = Fail
		f.Episodes = []Episode{{Span: f.Evidence, Figures: f.Figures}}
	}
	f.Grades = []Grade{{"band", word, w.d.at(w.from), duration(now - w.from)}}
}

// cycle is the shortest possible one, 4 V/Q (MIL-HDBK-1005/9A, equations 1 and 2): with a draw-off of
// half the pump's flow.
func (w *marginWatch) cycle(band float64) float64 {
	q, shape := w.sheet.Pump.HealthyFlow, w.sheet.Tank.Shape
	h := w.d.height(w.d.marks.start())
	if !q.Known() || q.V <= 0 || shape == nil || math.IsNaN(h) {
		return math.Inf(1)
	}
	return 4 * (shape.Volume(h+band) - shape.Volume(h)) / q.V
}
