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
}

// put adds a reading; points are medians of up to five, so that a spike makes none.
func (f *surface) put(t, u float64) {
	f.group[f.n] = u
	f.n++
	f.sumT += t
	f.lastU = u
	if f.n < f.size() {
		return
	}
	mid := median5(f.group[:f.n])
	f.trail.add(f.sumT/float64(f.n), f.amount(mid))
	f.at = mid
	f.n, f.sumT = 0, 0
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

// with is the weighted median of the pieces and one more that is still running.
func (p *pieces) with(f slopeFit, weight float64) slopeFit {
	k := min(p.n, len(p.fit))
	var mid, low, high, ws [65]float64
	for i := range k {
		mid[i], low[i], high[i], ws[i] = p.fit[i].mid, p.fit[i].low, p.fit[i].high, p.weight[i]
	}
	if !math.IsNaN(f.mid) && weight > 0 {
		mid[k], low[k], high[k], ws[k] = f.mid, f.low, f.high, weight
		k++
	}
	return slopeFit{weightedMedian(mid[:k], ws[:k]), weightedMedian(low[:k], ws[:k]), weightedMedian(high[:k], ws[:k])}
}

// beyond is how much less than the usual the least of the pieces is: a draw-off that comes and goes may be
// as large again at any time. 0 for fewer than three pieces.
func (p *pieces) beyond() float64 {
	k := min(p.n, len(p.fit))
	if k < 3 {
		return 0
	}
	mid, least := p.with(slopeFit{mid: math.NaN()}, 0).mid, math.Inf(1)
	for i := range k {
		least = math.Min(least, p.fit[i].mid)
	}
	return math.Max(0, mid-least)
}

func weightedMedian(x, w []float64) float64 {
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
		if below >= total/2 && !(v >= best) {
			best = x[i]
		}
	}
	return best
}

// drawMeter measures what leaves the tank while the pump is off, in pieces of at most 5 min.
type drawMeter struct {
	s      surface
	done   pieces
	offAt  float64 // since when the pump is off
	off    bool
	begun  float64 // of the piece
	active bool
	cached int // pieces in fit, + 1
	fit    slopeFit
	varied int // pieces in most, + 1
	most   float64
}

const (
	settle     = 10.0  // s after the pump stops in which the water comes to rest
	pieceLimit = 300.0 // s
	pieceLeast = 60.0
)

func (m *drawMeter) sample(s *item) {
	if s.pump != 0 {
		if m.off {
			m.close()
			m.off = false
		}
		return
	}
	if !m.off || s.first {
		m.close()
		m.off, m.offAt = true, s.t
	}
	if !s.seen || s.t-m.offAt < settle {
		return
	}
	if m.active && s.t-m.begun > pieceLimit {
		m.close()
	}
	if !m.active {
		m.active, m.begun = true, s.t
	}
	m.s.put(s.t, s.u)
}

func (m *drawMeter) close() {
	if m.active && m.s.trail.span() >= pieceLeast/2 && m.s.trail.n >= 4 {
		m.done.add(m.s.trail.slope(), m.s.trail.span())
	}
	m.active = false
	m.s.clear()
}

// between is how far the draw-off at another time may be from the usual one: as far as it was seen to be.
func (m *drawMeter) between() float64 {
	if m.varied != m.done.n+1 {
		m.most, m.varied = m.done.beyond(), m.done.n+1
	}
	return m.most
}

// slope of the amount with the pump off, over all pieces; NaN while unknown.
func (m *drawMeter) slope() slopeFit {
	if m.s.trail.n >= 4 && m.s.trail.span() >= pieceLeast/2 {
		return m.done.with(m.s.trail.slope(), m.s.trail.span())
	}
	if m.cached != m.done.n+1 {
		m.fit, m.cached = m.done.with(slopeFit{mid: math.NaN()}, 0), m.done.n+1
	}
	return m.fit
}
