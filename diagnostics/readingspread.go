package diagnostics

import (
	"fmt"
	"math"
)

// readingSpread is the robust spread of the reading, the level's own motion taken out.
var readingSpread = &kind{
	id: "reading-spread", make: func(s setup) observer { return newSpreadWatch(s) },
	window:  240e9, // half of it holds a word and a block besides
	aspects: []Aspect{{"amount", []string{"small", "medium", "large"}}},
}

type spreadWatch struct {
	passive
	h             *holder
	all           logHist
	recent        [4]float64
	n             int
	peak          float64 // of the stretch that fails, or the last that did
	most          float64 // of all such stretches
	medium, large float64
	source        string
}

func newSpreadWatch(s setup) *spreadWatch {
	w := &spreadWatch{passive: passive{s}}
	w.h = newHolder(s.aspects[0], 75, "large") // a hand under the sensor is gone by then
	w.h.opened = func() { w.peak = 0 }
	w.h.figure = func() []Figure { return []Figure{{"spread_m", w.peak, "cm"}} }
	w.medium, w.source = limit(s.sheet, "reading-spread.medium", 0.01)
	w.large, _ = limit(s.sheet, "reading-spread.large", 0.025)
	return w
}

func (w *spreadWatch) block(b *block) {
	if b.n < minBlock {
		return
	}
	w.all.add(b.spread, float64(b.n))
	w.recent[w.n%len(w.recent)] = b.spread
	w.n++
	spread := w.now()
	w.h.seeFrom(b.to, b.from, w.word(spread))
	if w.h.failing() {
		w.peak = math.Max(w.peak, spread)
		w.most = math.Max(w.most, w.peak)
	}
}

// now is the spread of the last blocks: their median, so that one gust does not count.
func (w *spreadWatch) now() float64 {
	r := w.recent
	return quickMedian(r[:min(w.n, len(r))])
}

// word grades a spread; a display's own step is no fault of the reading.
func (w *spreadWatch) word(spread float64) string {
	step := w.d.step.size()
	switch {
	case math.IsNaN(spread):
		return ""
	case spread > math.Max(w.large, 1.5*step):
		return "large"
	case spread > math.Max(w.medium, 0.7*step):
		return "medium"
	}
	return "small"
}

func (w *spreadWatch) finding(now float64) Finding {
	all := w.all.median(w.n)
	spread := all.mid
	least := ""
	if w.whole && w.n > 0 {
		least = w.word(spread)
	}
	word := w.h.word(w.whole, least)
	worst := ""
	if w.h.isBad(word) && spread <= w.large && w.most > w.large {
		worst = ", and by " + inLength(w.most) + " at its worst"
	}
	return Finding{
		Check: w.id, Verdict: w.h.verdict(word), Grades: w.h.grade(&w.setup, word, now),
		Figures: []Figure{{"spread_m", spread, "cm"}, {"spread_low", all.low, "cm"}, {"spread_high", all.high, "cm"}},
		Limit:   fmt.Sprintf("at most %s", inLength(w.large)),
		Why: fmt.Sprintf("the reading scatters by %s (95 %% interval %s to %s) about the level's own motion (median of %s; robust standard deviation)%s",
			inLength(spread), inLength(all.low), inLength(all.high), counted(w.n, "stretch", "stretches"), worst),
		Source: w.source, Evidence: w.d.span(w.from, now), Episodes: w.h.list(&w.setup, now),
		Missing: missingIf(word == "", "15 s of feed with at least 8 distances"),
	}
}
