package diagnostics

import (
	"fmt"
	"math"
)

// pumpNoise compares the spread with the pump on and off.
var pumpNoise = &kind{
	id: "pump-noise", make: func(s setup) observer { return newNoiseWatch(s) },
	window:  1800e9,
	aspects: []Aspect{{"sync", []string{"same", "worse-on", "only-on"}}},
}

type noiseWatch struct {
	passive
	on, off     logHist
	nOn, nOff   int
	pump        bool
	worse, only float64
	source      string
}

// noiseFloor keeps the ratio sensible where a coarse display shows no spread at all.
const noiseFloor = 0.002

func newNoiseWatch(s setup) *noiseWatch {
	w := &noiseWatch{passive: passive{s}}
	w.worse, w.source = limit(s.sheet, "pump-noise.worse-on", 2.5)
	w.only, _ = limit(s.sheet, "pump-noise.only-on", 5)
	return w
}

func (w *noiseWatch) block(b *block) {
	if b.n < minBlock {
		return
	}
	switch b.pump {
	case 1:
		w.on.add(b.spread, float64(b.n))
		w.nOn++
	case 0:
		w.off.add(b.spread, float64(b.n))
		w.nOff++
	default:
		return
	}
	w.pump = true
}

func (w *noiseWatch) finding(now float64) Finding {
	onAll, offAll := w.on.median(w.nOn), w.off.median(w.nOff)
	on, off := onAll.mid, offAll.mid
	floor := math.Max(noiseFloor, w.d.step.size()/math.Sqrt(12))
	ratio := math.Max(on, floor) / math.Max(off, floor)
	low, high := math.Max(onAll.low, floor)/math.Max(offAll.high, floor), math.Max(onAll.high, floor)/math.Max(offAll.low, floor)
	f := Finding{Check: w.id, Source: w.source, Evidence: w.d.span(w.from, now),
		Figures: []Figure{{"spread_on_m", on, "cm"}, {"spread_off_m", off, "cm"}, {"ratio", ratio, "1"},
			{"spread_on_low", onAll.low, "cm"}, {"spread_on_high", onAll.high, "cm"}, {"spread_off_low", offAll.low, "cm"},
			{"spread_off_high", offAll.high, "cm"}, {"ratio_low", low, "1"}, {"ratio_high", high, "1"}},
		Limit: fmt.Sprintf("at most %.3g times the spread with the pump off, where it reaches 1 cm", w.worse),
		Why: fmt.Sprintf("the spread is %s with the pump on and %s with it off, %s times (%s to %s)", inLength(on), inLength(off),
			number(ratio), number(low), number(high))}
	switch {
	case !w.pump:
		f.Why, f.Missing = "the feed does not say what the relay does, or brings no distance", "a pump column and the distance in the feed"
	case w.nOn < 3 || w.nOff < 3:
		f.Missing = fmt.Sprintf("45 s with the pump on and as much with it off (%d and %d stretches so far)", w.nOn, w.nOff)
	default:
		f.Verdict = Pass
		word := w.word(on, ratio)
		if word != "same" {
			f.Verdict = Fail
			f.Episodes = []Episode{{Span: f.Evidence, Figures: f.Figures}}
		}
		f.Grades = []Grade{{"sync", word, w.d.at(w.from), duration(now - w.from)}}
	}
	return f
}

// word: the inlet always stirs the water a little; below a centimetre nobody minds, and below two a sound inlet may do it.
func (w *noiseWatch) word(on, ratio float64) string {
	switch {
	case on < 0.01 || ratio < w.worse:
		return "same"
	case ratio < w.only || on < 0.02:
		return "worse-on"
	}
	return "only-on"
}
