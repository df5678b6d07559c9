package diagnostics

import (
	"fmt"
	"math"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/signal"
)

// driftCheck follows the reading over hours, with the pump's runs taken out.
var driftCheck = &kind{
	id: "drift", make: func(s setup) observer { return newDriftWatch(s) },
	window:  24 * 3600e9,
	aspects: []Aspect{{"drift", []string{"none", "with-temperature", "steady"}}},
}

// driftBin is the length of one point: long enough that waves average out.
const driftBin = 600.0

// mostDrift is the motion, in m/s, above which water is drawn: 2 cm an hour.
const mostDrift = 0.02 / 3600

type driftWatch struct {
	passive
	bin              driftPoint // being filled; sums
	n                float64
	last             driftPoint // of the same stretch with the pump off
	have             bool
	y                float64 // distance with the runs taken out
	points           [144]driftPoint
	np, stride, skip int
	temp             float64
	tempSeen         bool
	least, perK      float64
	source           string
}

type driftPoint struct{ t, u, temp float64 }

func newDriftWatch(s setup) *driftWatch {
	w := &driftWatch{passive: passive{s}, stride: 1, temp: math.NaN()}
	w.least, w.source = limit(s.sheet, "drift.steady", 0.01)
	w.perK, _ = limit(s.sheet, "drift.with-temperature", 0.0005)
	return w
}

func (w *driftWatch) sample(s *item) {
	if v, ok := s.r.Get(livelevel.AirTemperature); ok && s.r.Kind == livelevel.Report && v > -60 && v < 100 {
		w.temp, w.tempSeen = v, true
	}
}

func (w *driftWatch) block(b *block) {
	if b.pump == 1 || b.n < minBlock {
		w.cut()
		return
	}
	if w.n > 0 && b.from-w.bin.t/w.n > 2*driftBin {
		w.cut()
	}
	w.bin.t += (b.from + b.to) / 2
	w.bin.u += b.u
	w.bin.temp += w.temp
	w.n++
	if span := b.to - (w.last.t); !w.have && w.n >= 20 || w.have && span >= 1.5*driftBin && w.n >= 2 {
		w.point()
	}
}

// cut ends a stretch: what the pump adds is not drift.
func (w *driftWatch) cut() { w.have, w.n, w.bin = false, 0, driftPoint{} }

func (w *driftWatch) point() {
	p := driftPoint{w.bin.t / w.n, w.bin.u / w.n, w.bin.temp / w.n}
	if w.have {
		w.y += p.u - w.last.u
		w.keep(driftPoint{p.t, w.y, p.temp})
	}
	w.last, w.have, w.n, w.bin = p, true, 0, driftPoint{}
}

func (w *driftWatch) keep(p driftPoint) {
	if w.skip > 0 {
		w.skip--
		return
	}
	if w.np == len(w.points) {
		for i := range len(w.points) / 2 {
			w.points[i] = w.points[2*i]
		}
		w.np, w.stride = len(w.points)/2, 2*w.stride
	}
	w.points[w.np] = p
	w.np++
	w.skip = w.stride - 1
}

func (w *driftWatch) finding(now float64) Finding {
	f := Finding{Check: w.id, Source: w.source, Evidence: w.d.span(w.from, now),
		Limit: fmt.Sprintf("no motion with the temperature of more than %.2g %% a kelvin", 100*w.perK)}
	none := slopeFit{math.NaN(), math.NaN(), math.NaN()}
	fit, corr := none, none
	span := 0.0
	if w.np >= 6 {
		span = w.points[w.np-1].t - w.points[0].t
	}
	if span >= 3600 {
		fit = w.fit(0)
	}
	var perK, swing float64
	if span >= 6*3600 && w.tempSeen {
		corr, perK, swing = w.withTemperature(fit.mid)
	}
	f.Figures = []Figure{{"drift_m_per_h", -fit.mid * perHour, "mm/h"}, {"temperature_correlation", corr.mid, "1"},
		{"drift_low", -fit.high * perHour, "mm/h"}, {"drift_high", -fit.low * perHour, "mm/h"},
		{"correlation_low", corr.low, "1"}, {"correlation_high", corr.high, "1"}}
	f.Why = fmt.Sprintf("with the pump off the level reading moves by %s mm/h (95 %% interval %s to %s) over %s; correlation with the air temperature %s",
		number(-fit.mid*perHour*1000), number(-fit.high*perHour*1000), number(-fit.low*perHour*1000), lasting(span), number(corr.mid))
	if span < 6*3600 {
		f.Missing = "six hours of feed with the pump off"
		return f
	}
	word, since := "none", w.from
	begun, changed := w.change()
	switch {
	case math.Abs(corr.mid) > 0.8 && swing >= 4 && math.Abs(perK) > w.perK && math.Abs(perK) < 0.01:
		word = "with-temperature"
		f.Why += fmt.Sprintf(", %.2g %% of the distance a kelvin (air left uncorrected gives 0.17 %%)", 100*perK)
	case math.Abs(fit.mid) > mostDrift:
		f.Missing = "hours without a draw-off: so fast a fall is water, and hides a drift"
		return f
	case changed && w.steady(begun):
		word, since = "steady", w.points[begun].t
		after := w.fit(begun)
		f.Why += fmt.Sprintf("; by %s mm/h (%s to %s) for the last %s, when it most likely changed (Pettitt's test)", number(-after.mid*perHour*1000),
			number(-after.high*perHour*1000), number(-after.low*perHour*1000), lasting(w.points[w.np-1].t-since))
	case w.steady(0):
		word = "steady"
	}
	if !w.tempSeen {
		f.Why += "; whether it goes with the temperature cannot be told without the air temperature in the feed"
	}
	f.Verdict = Pass
	if word == "with-temperature" {
		f.Verdict = Fail
		f.Episodes = []Episode{{Span: f.Evidence, Figures: f.Figures}}
	}
	f.Grades = []Grade{{"drift", word, w.d.at(since), duration(now - since)}}
	return f
}

// steady tells whether the points from one on drift: further than the display and the waves could make it, with an
// interval that excludes none, and slower than water that is drawn.
func (w *driftWatch) steady(from int) bool {
	if w.np-from < 6 {
		return false
	}
	fit, span := w.fit(from), w.points[w.np-1].t-w.points[from].t
	return math.Abs(fit.mid) <= mostDrift && math.Abs(fit.mid)*span > math.Max(w.least, 2*w.d.step.size()) && fit.low*fit.high > 0
}

// driftByLuck is the chance below which a change of the drift is taken for one.
const driftByLuck = 1e-3

// change is the point from which on the reading moves at another pace, by Pettitt's test on its paces. Those of
// neighbours share a point, which makes them differ more than independent ones: the test errs on the quiet side.
func (w *driftWatch) change() (from int, changed bool) {
	var pace, work [len(w.points)]float64
	n := w.np - 1
	if n < 12 {
		return 0, false
	}
	for i := range n {
		a, b := w.points[i], w.points[i+1]
		pace[i] = (b.u - a.u) / (b.t - a.t)
	}
	c := signal.Pettitt(pace[:n], work[:])
	return c.After, c.P < driftByLuck
}

// fit is the slope of the points from one on.
func (w *driftWatch) fit(from int) slopeFit {
	var t, y [trailMost]float64
	all := w.np - from
	n := min(all, trailMost)
	for i := range n {
		p := w.points[from+i*all/n]
		t[i], y[i] = p.t, p.u
	}
	return theilSen(t[:n], y[:n])
}

// withTemperature correlates distance and temperature, each with its own straight line taken out, so
// that a steady draw and a warming day do not pass for each other.
func (w *driftWatch) withTemperature(slope float64) (corr slopeFit, perKelvin, swing float64) {
	y, temp := make([]float64, w.np), make([]float64, w.np)
	t, all := make([]float64, w.np), &signal.Pair{}
	low, high := math.Inf(1), math.Inf(-1)
	for i, p := range w.points[:w.np] {
		t[i] = p.t
		all.Add(p.t, p.temp)
		low, high = math.Min(low, p.temp), math.Max(high, p.temp)
	}
	warming, pair := all.Slope(), &signal.Pair{}
	for i, p := range w.points[:w.np] {
		y[i], temp[i] = p.u-slope*t[i], p.temp-warming*t[i]
		pair.Add(temp[i], y[i])
	}
	if w.last.u > 0.05 {
		perKelvin = pair.Slope() / w.last.u
	}
	return fisher(signal.Correlation(y, temp), w.np), perKelvin, high - low
}

// fisher is a correlation of n pairs with its 95 % interval (Fisher 1921, z transformation).
func fisher(r float64, n int) slopeFit {
	if n < 4 || math.IsNaN(r) {
		return slopeFit{r, math.NaN(), math.NaN()}
	}
	z, half := math.Atanh(math.Max(-0.999999, math.Min(0.999999, r))), z95/math.Sqrt(float64(n-3))
	return slopeFit{r, math.Tanh(z - half), math.Tanh(z + half)}
}
