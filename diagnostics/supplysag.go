package diagnostics

import (
	"fmt"
	"math"

	"example.org/tankhand/livelevel"
)

// supplySag watches the supply in the feed as the relay pulls in.
var supplySag = &kind{
	id: "supply-sag", make: func(s setup) observer { return newSupplyWatch(s) },
	window:  1800e9,
	aspects: []Aspect{{"dip", []string{"slight", "marked", "deep"}}},
}

type supplyWatch struct {
	passive
	on, off      voltHist
	lowest       float64
	after        [31]float64 // least supply in the two seconds after each of the last starts
	n            int
	edge         float64
	left         int // readings that still belong to the start
	values       int
	marked, deep float64
	source       string
}

func newSupplyWatch(s setup) *supplyWatch {
	w := &supplyWatch{passive: passive{s}, lowest: math.NaN(), edge: math.Inf(-1)}
	w.marked, w.source = limit(s.sheet, "supply-sag.marked", 0.05)
	w.deep, _ = limit(s.sheet, "supply-sag.deep", 0.10)
	return w
}

func (w *supplyWatch) sample(s *item) {
	v, ok := s.r.Get(livelevel.Supply)
	if !ok || s.r.Kind != livelevel.Report || math.IsNaN(v) || v <= 0.1 || v > 1000 {
		return
	}
	w.values++
	if !(v >= w.lowest) {
		w.lowest = v
	}
	switch s.pump {
	case 1:
		w.on.add(v, 1)
	case 0:
		w.off.add(v, 1)
	}
	if s.edge > 0 {
		w.edge, w.left = s.t, 2
		w.after[w.n%len(w.after)] = v
		w.n++
	} else if s.pump == 1 && (w.left > 0 || s.t-w.edge < 2) && w.n > 0 {
		last := &w.after[(w.n-1)%len(w.after)]
		*last = math.Min(*last, v)
	}
	w.left--
}

func (w *supplyWatch) finding(now float64) Finding {
	onAll, offAll := w.on.median(), w.off.median()
	on, off := onAll.mid, offAll.mid
	f := Finding{Check: w.id, Source: w.source, Evidence: w.d.span(w.from, now),
		Figures: []Figure{{"supply_off_v", off, "V"}, {"supply_on_v", on, "V"}, {"lowest_v", w.lowest, "V"},
			{"supply_off_low", offAll.low, "V"}, {"supply_off_high", offAll.high, "V"},
			{"supply_on_low", onAll.low, "V"}, {"supply_on_high", onAll.high, "V"}},
		Limit: fmt.Sprintf("a dip of at most %s as the relay pulls in", percent(w.marked))}
	low := on
	if w.n > 0 {
		a := w.after
		low = math.Min(on, quickMedian(a[:min(w.n, len(a))]))
	}
	dip := 1 - low/off
	f.Why = fmt.Sprintf("the supply is %s V with the pump off, %s V on, and dips to %s V as the relay pulls in (%s)",
		number(off), number(on), number(low), percent(dip))
	switch {
	case w.values == 0:
		f.Why, f.Missing = "the feed does not bring the supply", "a supply column in the feed, or a meter at the board"
	case w.on.total < 2 || w.off.total < 5:
		f.Missing = "the pump on and off with the supply in the feed"
	default:
		f.Verdict = Pass
		word := w.word(dip, low)
		if word != "slight" {
			f.Verdict = Fail
			f.Episodes = []Episode{{Span: f.Evidence, Figures: f.Figures}}
		}
		f.Grades = []Grade{{"dip", word, w.d.at(w.from), duration(now - w.from)}}
	}
	return f
}

func (w *supplyWatch) word(dip, low float64) string {
	out := w.sheet.Supply.BrownOut
	switch {
	case dip > w.deep || out.Known() && dip > 0.01 && low < out.V:
		return "deep"
	case dip > w.marked:
		return "marked"
	}
	return "slight"
}

// voltHist is a bounded sketch of voltages: 20 mV wide up to 40 V, then one bin.
type voltHist struct {
	bins  [2001]float64
	total float64
}

func (h *voltHist) add(v, weight float64) {
	h.bins[min(int(v*50), len(h.bins)-1)] += weight
	h.total += weight
}

func (h *voltHist) quantile(q float64) float64 {
	left := q * h.total
	for i, w := range h.bins {
		if left -= w; left <= 0 && w > 0 {
			return (float64(i) + 0.5) / 50
		}
	}
	return math.NaN()
}

// median with its 95 % interval, the width of a bin included.
func (h *voltHist) median() slopeFit {
	low, high := medianWithin(int(h.total))
	return slopeFit{h.quantile(0.5), h.quantile(low) - 0.01, h.quantile(high) + 0.01}
}
