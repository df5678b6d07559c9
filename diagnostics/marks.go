package diagnostics

import (
	"math"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
)

// marks are the switching points in force: what the feed says wins over what the sheet says.
type marks struct {
	full, empty float64 // distances from the face; NaN when unknown
	low, stop   float64 // fraction of the height between the marks; NaN when unknown
	lowU, stopU float64 // or given as distances
	sent        bool    // the feed sends marks
}

func (m *marks) fromSheet(s *site.Sheet) {
	nan := math.NaN()
	*m = marks{full: s.Marks.Full.Or(nan), empty: s.Marks.Empty.Or(nan), low: nan, stop: 1, lowU: nan, stopU: nan}
	if f := s.Marks.LowSet; f.Known() {
		if f.Dim == quantity.Length {
			m.lowU = f.V
		} else {
			m.low = f.V
		}
	}
	if f := s.Marks.FullSet; f.Known() {
		if f.Dim == quantity.Length {
			m.stopU = f.V
		} else {
			m.stop = f.V
		}
	}
}

func (m *marks) fromFeed(r *livelevel.Reading) {
	if v, ok := r.Get(livelevel.FullMark); ok {
		m.full, m.sent = v, true
	}
	if v, ok := r.Get(livelevel.EmptyMark); ok {
		m.empty, m.sent = v, true
	}
	if v, ok := r.Get(livelevel.LowSet); ok {
		m.low, m.lowU = v/100, math.NaN()
	}
	if v, ok := r.Get(livelevel.FullSet); ok {
		m.stop, m.stopU = v/100, math.NaN()
	}
}

// known tells whether the marks make a scale.
func (m *marks) known() bool { return m.empty-m.full > 0.01 }

// at is the distance at a fraction of the height between the marks; NaN where they make no scale: blank or
// swapped marks are a finding of their own, and nothing else can be judged by them.
func (m *marks) at(fraction float64) float64 {
	if !m.known() {
		return math.NaN()
	}
	return m.empty - fraction*(m.empty-m.full)
}

// start is the distance at which the pump is called, stopAt at which it is dropped; NaN unknown.
func (m *marks) start() float64 {
	if !math.IsNaN(m.lowU) {
		return m.lowU
	}
	return m.at(m.low)
}

func (m *marks) stopAt() float64 {
	if !math.IsNaN(m.stopU) {
		return m.stopU
	}
	return m.at(m.stop)
}

// margin is how near a mark a reading must be to count as standing at it: 2 cm, three spreads or two
// steps of the display, whichever is most.
func (d *digest) margin() float64 {
	m := math.Max(0.02, 2*d.step.size())
	if !math.IsNaN(d.spread) {
		m = math.Max(m, 3*d.spread)
	}
	return m
}
