package diagnostics

import (
	"fmt"
	"math"
)

// readingShape names how wrong readings look.
var readingShape = &kind{
	id: "reading-shape", make: func(s setup) observer { return newShapeWatch(s) },
	window:  300e9,
	aspects: []Aspect{{"shape", []string{"quiet", "spikes", "fixed-second", "double-second", "ghost", "wanders"}}},
}

type shapeWatch struct {
	passive
	h          *holder
	recent     [6]shapeBlock
	n          int
	readings   float64
	spikes     float64
	second     float64 // readings of the second population
	pairs      pairFit
	day        dayCounts // of spikes
	spikeLimit float64
	source     string
}

type shapeBlock struct {
	n, spikes, second, lag, spread float64
	two                            bool
}

func newShapeWatch(s setup) *shapeWatch {
	w := &shapeWatch{passive: passive{s}}
	a := s.aspects[0]
	w.h = newHolder(a, 30, "spikes", "fixed-second", "double-second", "ghost")
	w.h.worst = []int{0, 5, 1, 2, 4, 3}
	var readings, spikes, second float64
	w.h.opened = func() { readings, spikes, second = w.readings, w.spikes, w.second }
	w.h.figure = func() []Figure {
		n := w.readings - readings
		return []Figure{{"spike_fraction", share(w.spikes-spikes, n), "%"}, {"second_share", share(w.second-second, n), "%"}}
	}
	w.spikeLimit, w.source = limit(s.sheet, "reading-shape.spikes", 0.02)
	return w
}

func (w *shapeWatch) block(b *block) {
	if b.n < minBlock {
		return
	}
	sb := shapeBlock{n: float64(b.n), spikes: float64(b.spikes), lag: b.lag1, spread: b.spread, two: b.two}
	w.readings += sb.n
	if b.two {
		share := math.Min(b.hiShare, 1-b.hiShare)
		sb.second, sb.spikes = share*sb.n, 0
		w.second += sb.second
		w.pairs.add(b)
	}
	w.spikes += sb.spikes
	w.day.add(w.d.s.slot, sb.spikes, sb.n)
	w.recent[w.n%len(w.recent)] = sb
	w.n++
	w.h.seeFrom(b.to, b.from, w.word())
}

// word judges the last blocks.
func (w *shapeWatch) word() string {
	var sum shapeBlock
	twos, spiky, k := 0, 0, min(w.n, len(w.recent))
	var lags, spreads [len(w.recent)]float64
	for i, b := range w.recent[:k] {
		sum.n += b.n
		sum.spikes += b.spikes
		lags[i], spreads[i] = b.lag, b.spread
		if b.two {
			twos++
		}
		if b.spikes > 0 {
			spiky++
		}
	}
	lag, spread := quickMedian(lags[:k]), quickMedian(spreads[:k])
	switch {
	case twos >= 3 || twos >= 2 && twos == k:
		return w.pairs.word()
	case sum.spikes >= 5 && sum.spikes > w.spikeLimit*sum.n && spiky >= min(3, k):
		return "spikes" // a hand that moves about under the sensor spoils one stretch, or two
	case lag > 0.7 && spread > math.Max(0.005, 1.5*w.d.step.size()):
		return "wanders"
	}
	return "quiet"
}

// all grades the whole feed's own figures.
func (w *shapeWatch) all() string {
	switch {
	case w.n < 4:
		return ""
	case w.second > 0.08*w.readings:
		return w.pairs.word()
	case w.spikes >= 5 && w.spikes > w.spikeLimit*w.readings:
		return "spikes"
	}
	return ""
}

func (w *shapeWatch) finding(now float64) Finding {
	least := ""
	if w.whole {
		least = w.all()
	}
	word := w.h.word(w.whole, least)
	spikes, share := math.NaN(), math.NaN()
	at, ratio := math.NaN(), math.NaN()
	if w.readings > 0 {
		spikes, share = w.spikes/w.readings, w.second/w.readings
	}
	if w.pairs.n > 0 {
		at, ratio = w.pairs.second()
	}
	low, high := wilson(w.spikes, w.readings)
	secondLow, secondHigh := wilson(w.second, w.readings)
	why := fmt.Sprintf("%.0f of %.0f readings stand alone beyond the Hampel limit (%s, 95 %% interval %s to %s)",
		w.spikes, w.readings, percent(spikes), percent(low), percent(high))
	if w.h.isBad(word) && word != "spikes" {
		why = fmt.Sprintf("%s of the readings stand at a second distance, %s; %s", percent(share), inLength(at), w.pairs.why())
	}
	f := Finding{
		Check: w.id, Verdict: w.h.verdict(word), Grades: w.h.grade(&w.setup, word, now),
		Figures: []Figure{{"spike_fraction", spikes, "%"}, {"second_share", share, "%"}, {"second_ullage_m", at, "cm"},
			{"second_ratio", ratio, "1"}, {"spike_low", low, "%"}, {"spike_high", high, "%"},
			{"second_low", secondLow, "%"}, {"second_high", secondHigh, "%"}},
		Limit: fmt.Sprintf("at most %s spikes (and fewer than 5), no second population of 8 %%", percent(w.spikeLimit)),
		Why:   why, Source: w.source, Evidence: w.d.span(w.from, now), Episodes: w.h.list(&w.setup, now),
		Missing: missingIf(word == "", "15 s of feed with at least 8 distances"),
	}
	w.day.tell(&f, "spikes")
	return f
}

// pairFit keeps pairs of near and far population and asks how the one moves with the other.
type pairFit struct {
	lo, hi, share [trailMost]float64
	n             int
	stride, skip  int
}

func (p *pairFit) add(b *block) {
	if p.skip > 0 {
		p.skip--
		return
	}
	p.stride = max(p.stride, 1)
	if p.n == trailMost {
		for i := range trailMost / 2 {
			p.lo[i], p.hi[i], p.share[i] = p.lo[2*i], p.hi[2*i], p.share[2*i]
		}
		p.n, p.stride = trailMost/2, 2*p.stride
	}
	p.lo[p.n], p.hi[p.n], p.share[p.n] = b.lo, b.hi, b.hiShare
	p.n++
	p.skip = p.stride - 1
}

// moved is how far a population travelled, without its extremes.
func moved(x []float64) float64 {
	w := append([]float64(nil), x...)
	n := len(w)
	return quickSelect(w, n-1-n/10) - quickSelect(w, n/10)
}

// word tells a fixed false echo (stays while the water moves), a second bounce (twice the distance
// throughout) and a ghost of an earlier ping (moves along, but not at twice the distance).
func (p *pairFit) word() string {
	if p.n == 0 {
		return ""
	}
	ratio, off := p.ratio()
	lo, hi := moved(p.lo[:p.n]), moved(p.hi[:p.n])
	switch {
	case math.Abs(ratio-2) < 0.06 && off < 0.04:
		return "double-second"
	case math.Max(lo, hi) < 0.03:
		return "fixed-second" // still water: the likeliest
	case math.Min(lo, hi) < math.Max(0.02, 0.15*math.Max(lo, hi)):
		return "fixed-second"
	}
	return "ghost"
}

// ratio is the median of far by near, and the median deviation from it.
func (p *pairFit) ratio() (mid, off float64) {
	var w [trailMost]float64
	for i := range p.n {
		w[i] = p.hi[i] / p.lo[i]
	}
	mid = quickMedian(w[:p.n])
	for i := range p.n {
		w[i] = math.Abs(p.hi[i]/p.lo[i] - mid)
	}
	return mid, quickMedian(w[:p.n])
}

// far tells whether the second population is the far one.
func (p *pairFit) far() bool {
	lo, hi := moved(p.lo[:p.n]), moved(p.hi[:p.n])
	switch p.word() {
	case "double-second":
		return true
	case "fixed-second":
		if math.Max(lo, hi) >= 0.03 {
			return hi < lo
		}
	case "ghost":
		if hi > 1.5*lo || lo > 1.5*hi {
			return hi > lo
		}
	}
	s := p.share
	return quickMedian(s[:p.n]) < 0.5
}

// second is the latest distance of the second population and its ratio to the first.
func (p *pairFit) second() (at, ratio float64) {
	lo, hi := p.lo, p.hi
	l, h := quickMedian(lo[:p.n]), quickMedian(hi[:p.n])
	if p.far() {
		return h, h / l
	}
	return l, l / h
}

func (p *pairFit) why() string {
	lo, hi := moved(p.lo[:p.n]), moved(p.hi[:p.n])
	ratio, _ := p.ratio()
	if math.Max(lo, hi) < 0.03 && p.word() == "fixed-second" {
		return "the water moved too little to tell a fixed echo from a ghost: let it rise or fall by 10 cm"
	}
	return fmt.Sprintf("the near ones moved %s, the far ones %s, far by near is %.3f", inLength(lo), inLength(hi), ratio)
}
