package diagnostics

import (
	"math"
)

// perHour turns m3/s into m3/h.
const perHour = 3600.0

// surface follows the amount of water: its volume where the tank is known, else its height.
type surface struct {
	d     *digest
	group [5]float64 // readings of the point being made
	n     int
	at    float64
	trail trail
	lastU float64
	sumT  float64
	// pointT and pointY are the last point.
	pointT, pointY float64
}

// put adds a reading; points are medians of up to five, so that a spike makes none. It tells whether one was made.
func (f *surface) put(t, u float64) (made bool) {
	f.group[f.n] = u
	f.n++
	f.sumT += t
	f.lastU = u
	if f.n < f.size() {
		return false
	}
	f.at = median5(f.group[:f.n])
	f.pointT, f.pointY = f.sumT/float64(f.n), f.amount(f.at)
	f.trail.add(f.pointT, f.pointY)
	f.n, f.sumT = 0, 0
	return true
}

// median5 sorts the few values of a point by insertion; they are one, three or five.
func median5(w []float64) float64 {
	for i := 1; i < len(w); i++ {
		for j := i; j > 0 && w[j] < w[j-1]; j-- {
			w[j], w[j-1] = w[j-1], w[j]
		}
	}
	return w[len(w)/2]
}

func (f *surface) size() int {
	switch p := f.d.period; {
	case p < 1:
		return 5
	case p < 3:
		return 3
	}
	return 1
}

func (f *surface) amount(u float64) float64 {
	if h := f.d.height(u); f.shaped() {
		return f.d.sheet.Tank.Shape.Volume(h)
	}
	return -u
}

func (f *surface) shaped() bool {
	return f.d.sheet.Tank.Shape != nil && f.d.sheet.Sensor.FaceHeight.Known()
}

// area turns the trail's slope into a rise of the water.
func (f *surface) area() float64 {
	if !f.shaped() {
		return 1
	}
	if a := f.d.sheet.Tank.Shape.Area(f.d.height(f.at)); a > 1e-4 {
		return a
	}
	return math.NaN()
}

func (f *surface) clear() { f.n, f.sumT, f.trail = 0, 0, trail{} }

// known tells that slopes are flows.
func (f *surface) flow(s slopeFit) slopeFit {
	if !f.shaped() {
		return slopeFit{math.NaN(), math.NaN(), math.NaN()}
	}
	return slopeFit{s.mid * perHour, s.low * perHour, s.high * perHour}
}

// pieces are slopes with the time that stands behind each: the last 64.
type pieces struct {
	fit    [64]slopeFit
	weight [64]float64
	n      int
}

func (p *pieces) add(f slopeFit, weight float64) {
	if math.IsNaN(f.mid) || weight <= 0 {
		return
	}
	p.fit[p.n%len(p.fit)], p.weight[p.n%len(p.fit)] = f, weight
	p.n++
}

// each hands out the pieces that are kept, the last most of them at the most, and one more that is still running.
func (p *pieces) each(most int, running slopeFit, weight float64, take func(f slopeFit, weight float64)) {
	k := min(p.n, len(p.fit), most)
	for i := p.n - k; i < p.n; i++ {
		take(p.fit[i%len(p.fit)], p.weight[i%len(p.fit)])
	}
	if !math.IsNaN(running.mid) && weight > 0 {
		take(running, weight)
	}
}

// pieceList is room for the pieces of one estimate.
type pieceList struct {
	mid, low, high, w [65]float64
	n                 int
}

func (l *pieceList) take(f slopeFit, weight float64) {
	l.mid[l.n], l.low[l.n], l.high[l.n], l.w[l.n] = f.mid, f.low, f.high, weight
	l.n++
}

func (l *pieceList) quantile(q float64) slopeFit {
	w := l.w[:l.n]
	return slopeFit{weightedQuantile(l.mid[:l.n], w, q), weightedQuantile(l.low[:l.n], w, q), weightedQuantile(l.high[:l.n], w, q)}
}

// with is the weighted median of the pieces and one more that is still running.
func (p *pieces) with(f slopeFit, weight float64) slopeFit {
	var l pieceList
	p.each(len(p.fit), f, weight, l.take)
	return l.quantile(0.5)
}

// bestShare is how much of the time may be set aside as luck before the best of the pieces is asked for.
const bestShare = 0.15

// best is the rise of the stretches that are not shown to rise slower than the best ones do: taps only take, so
// those are the stretches in which least was drawn. Where all are alike it is their median.
func (p *pieces) best(most int, running slopeFit, weight float64) slopeFit {
	var all, alike pieceList
	p.each(most, running, weight, all.take)
	mark := weightedQuantile(all.low[:all.n], all.w[:all.n], 1-bestShare)
	for i := range all.n {
		if all.high[i] >= mark {
			alike.take(slopeFit{all.mid[i], all.low[i], all.high[i]}, all.w[i])
		}
	}
	return alike.quantile(0.5)
}

// below is the rise below which a share of the time lies.
func (p *pieces) below(share float64) float64 {
	var l pieceList
	p.each(len(p.fit), slopeFit{mid: math.NaN()}, 0, l.take)
	return weightedQuantile(l.mid[:l.n], l.w[:l.n], share)
}

// weightedQuantile is the least of the values that have a share of the weight at or below them; NaN for none.
func weightedQuantile(x, w []float64, share float64) float64 {
	total := 0.0
	for _, v := range w {
		total += v
	}
	best := math.NaN()
	for i, v := range x { // few enough: no sorting
		below := 0.0
		for j, o := range x {
			if o < v || o == v && j <= i {
				below += w[j]
			}
		}
		if below >= total*share*(1-1e-9) && !(v >= best) {
			best = x[i]
		}
	}
	return best
}
