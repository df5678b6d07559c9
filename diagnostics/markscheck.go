package diagnostics

import (
	"fmt"
	"math"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/signal"
)

// marksCheck sets the taught marks in the feed against the site sheet and the tank.
var marksCheck = &kind{
	id: "marks", make: func(s setup) observer { return newMarksWatch(s) },
	aspects: []Aspect{{"state", []string{"agree", "differ", "swapped", "low-above-full", "full-in-blanking", "full-above-overflow", "blank"}}},
}

type marksWatch struct {
	passive
	h            *holder
	full, empty  float64 // as the feed sends them
	low, stop    float64
	lowest, high float64 // distances, without spikes
	sums         signal.Pair
	pLow, pHigh  float64
	uSum, pSum   float64
	pn           float64
	tolerance    float64
	source       string
}

func newMarksWatch(s setup) *marksWatch {
	nan := math.NaN()
	w := &marksWatch{passive: passive{s}, full: nan, empty: nan, low: nan, stop: nan, lowest: nan, high: nan, pLow: nan, pHigh: nan}
	w.h = newHolder(s.aspects[0], 15, s.aspects[0].Words[1:]...)
	w.tolerance, w.source = limit(s.sheet, "marks.differ", 0.03)
	return w
}

func (w *marksWatch) sample(s *item) {
	if s.r.Kind != livelevel.Report {
		return
	}
	for _, m := range [...]struct {
		role livelevel.Role
		to   *float64
	}{{livelevel.FullMark, &w.full}, {livelevel.EmptyMark, &w.empty}, {livelevel.LowSet, &w.low}, {livelevel.FullSet, &w.stop}} {
		if v, ok := s.r.Get(m.role); ok {
			*m.to = v
		}
	}
	if p, ok := s.r.Get(livelevel.LevelPercent); ok && s.seen && p > 2 && p < 98 && s.r.Has(livelevel.Ullage) {
		w.sums.Add(p, s.own)
		w.pn++
		w.pSum += p
		w.uSum += s.own
		w.pLow, w.pHigh = fmin(w.pLow, p), fmax(w.pHigh, p)
	}
}

func fmin(a, b float64) float64 {
	if b < a || math.IsNaN(a) {
		return b
	}
	return a
}

func fmax(a, b float64) float64 {
	if b > a || math.IsNaN(a) {
		return b
	}
	return a
}

func (w *marksWatch) block(b *block) {
	if b.n >= minBlock && b.low <= b.high {
		w.lowest, w.high = fmin(w.lowest, b.low), fmax(w.high, b.high)
	}
}

// taught are the marks of the feed: as sent, or worked out of percent and distance, which lie on a
// line through both marks.
func (w *marksWatch) taught() (full, empty float64, how string) {
	if !math.IsNaN(w.full) || !math.IsNaN(w.empty) {
		return w.full, w.empty, "sent"
	}
	if w.pn >= 50 && w.pHigh-w.pLow >= 20 && w.sums.Correlation() < -0.995 {
		slope := w.sums.Slope()
		empty = w.uSum/w.pn - slope*w.pSum/w.pn
		return empty + 100*slope, empty, "worked out of percent and distance"
	}
	return math.NaN(), math.NaN(), ""
}

func (w *marksWatch) beat(t float64) { w.h.see(t, w.word()) }

func (w *marksWatch) word() string {
	full, empty, how := w.taught()
	if low, stop := w.low, w.stop; !math.IsNaN(low) && !math.IsNaN(stop) && low >= stop && stop > 0 {
		return "low-above-full"
	}
	switch {
	case how == "":
		return ""
	case how == "sent" && (blank(full) && blank(empty) || full == empty):
		return "blank"
	case full > empty:
		return "swapped"
	case w.sheet.Sensor.Blanking.Known() && full < w.sheet.Sensor.Blanking.V:
		return "full-in-blanking"
	case w.aboveOverflow(full):
		return "full-above-overflow"
	}
	return w.compare(full, empty, how)
}

// blank is what an erased memory holds: nothing, all ones, or no number.
func blank(v float64) bool { return math.IsNaN(v) || v <= 0 || v > 100 }

func (w *marksWatch) aboveOverflow(full float64) bool {
	over, h := w.sheet.Tank.Overflow, w.d.height(full)
	return over.Known() && h > over.V
}

func (w *marksWatch) compare(full, empty float64, how string) string {
	m := w.sheet.Marks
	if !m.Full.Known() || !m.Empty.Known() {
		return ""
	}
	most := w.tolerance
	if how != "sent" { // a percent in whole numbers, and what makes it stray off the line, leave the marks that uncertain
		r := w.sums.Correlation()
		most += (0.01 + 2*(1-r*r)) * math.Abs(empty-full)
	}
	if math.Abs(full-m.Full.V) > most || math.Abs(empty-m.Empty.V) > most {
		return "differ"
	}
	return "agree"
}

func (w *marksWatch) finding(now float64) Finding {
	full, empty, how := w.taught()
	f := Finding{Check: w.id, Source: w.source, Evidence: w.d.span(w.from, now),
		Figures: []Figure{{"lowest_ullage_m", w.lowest, "cm"}, {"highest_ullage_m", w.high, "cm"}},
		Limit:   fmt.Sprintf("within %s of the site sheet, and possible in this tank", inLength(w.tolerance)),
		Why: fmt.Sprintf("taught full at %s and empty at %s from the face (%s), site sheet %s and %s", inLength(full), inLength(empty), how,
			inLength(w.sheet.Marks.Full.Or(math.NaN())), inLength(w.sheet.Marks.Empty.Or(math.NaN())))}
	word := w.h.word(w.whole, "")
	f.Verdict, f.Grades, f.Episodes = w.h.verdict(word), w.h.grade(&w.setup, word, now), w.h.list(&w.setup, now)
	switch {
	case word != "":
	case how == "":
		f.Why, f.Missing = "the feed does not bring the marks", "full-mark and empty-mark in the feed, or percent and distance over a fifth of the tank"
	case !w.sheet.Marks.Full.Known() || !w.sheet.Marks.Empty.Known():
		f.Missing = "marks.full and marks.empty in the site sheet"
	}
	return f
}
