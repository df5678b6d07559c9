package diagnostics

import "math"

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
	span   chain   // the present time off
	gone   float64 // change of the amount over the times off before
	time   float64 // s of those
}

const (
	settle     = 10.0  // s after the pump stops in which the water comes to rest
	pieceLimit = 300.0 // s
	pieceLeast = 60.0
)

func (m *drawMeter) sample(s *item) {
	if s.pump != 0 {
		if m.off {
			m.stop()
			m.off = false
		}
		return
	}
	if !m.off || s.first {
		m.stop()
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
	if m.s.put(s.t, s.u) {
		m.span.add(m.s.pointT, m.s.pointY)
	}
}

// stop ends a time off.
func (m *drawMeter) stop() {
	m.close()
	change, time := m.span.change()
	m.gone += change
	m.time += time
	m.span = chain{}
}

func (m *drawMeter) close() {
	if m.active && m.s.trail.span() >= pieceLeast/2 && m.s.trail.n >= 4 {
		m.done.add(m.s.trail.slope(), m.s.trail.span())
	}
	m.active = false
	m.s.clear()
}

// running is the piece that goes on, with its weight.
func (m *drawMeter) running() (slopeFit, float64) {
	if m.s.trail.n >= 4 && m.s.trail.span() >= pieceLeast/2 {
		return m.s.trail.slope(), m.s.trail.span()
	}
	return slopeFit{mid: math.NaN()}, 0
}

// slope of the amount with the pump off, over all pieces; NaN while unknown.
func (m *drawMeter) slope() slopeFit {
	if f, w := m.running(); w > 0 {
		return m.done.with(f, w)
	}
	if m.cached != m.done.n+1 {
		m.fit, m.cached = m.done.with(slopeFit{mid: math.NaN()}, 0), m.done.n+1
	}
	return m.fit
}

// mean is the change of the amount over all the time with the pump off: what taps take now and then counts with
// all it took. Its interval is that of the mean of the pieces.
func (m *drawMeter) mean() slopeFit {
	change, time := m.span.change()
	change, time = change+m.gone, time+m.time
	typical := m.slope()
	if time < pieceLeast/2 {
		return typical
	}
	mid := change / time
	f, w := m.running()
	var l pieceList
	m.done.each(len(m.done.fit), f, w, l.take)
	if l.n < 2 {
		return slopeFit{mid, mid + typical.low - typical.mid, mid + typical.high - typical.mid}
	}
	var ss, ww float64
	for i := range l.n {
		ss += l.w[i] * (l.mid[i] - mid) * (l.mid[i] - mid)
		ww += l.w[i]
	}
	half := z95 * math.Sqrt(ss/ww/float64(max(l.n-1, m.done.n)))
	return slopeFit{mid, mid - half, mid + half}
}

// steady is the rise of the amount when least was drawn: what leaves at all times, through a leak or a tap that
// is always open.
func (m *drawMeter) steady() slopeFit {
	f, w := m.running()
	return m.done.best(len(m.done.fit), f, w)
}

// extra is how much more than the steady part may have left at the calmest of n other times, 95 % sure: of n
// times picked from those seen, one at least is calmer than the quantile 1 - 0.05^(1/n).
func (m *drawMeter) extra(n float64) float64 {
	few := math.Pow(0.05, 1/math.Max(n, 1))
	if more := m.steady().mid - m.done.below(few); more > 0 {
		return more
	}
	return 0
}

// chain is a stretch of points of which only the two ends count, each by the median of three.
type chain struct {
	n            int
	headT, headY [3]float64
	tailT, tailY [3]float64
}

func (c *chain) add(t, y float64) {
	if c.n < 3 {
		c.headT[c.n], c.headY[c.n] = t, y
	}
	c.tailT[c.n%3], c.tailY[c.n%3] = t, y
	c.n++
}

func (c *chain) change() (dy, dt float64) {
	if c.n < 6 {
		return 0, 0
	}
	mid := func(a [3]float64) float64 { return median5(a[:]) }
	return mid(c.tailY) - mid(c.headY), mid(c.tailT) - mid(c.headT)
}
