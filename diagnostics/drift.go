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
	fit, corr := slopeFit{mid: math.NaN()}, math.NaN()
	span := 0.0
	if w.np >= 6 {
		span = w.points[w.np-1].t - w.points[0].t
	}
	if span >= 3600 {
		fit = w.fit()
	}
	var perK, swing float64
	if span >= 6*3600 && w.tempSeen {
		corr, perK, swing = w.withTemperature(fit.mid)
	}
	f.Figures = []Figure{{"drift_m_per_h", -fit.mid * perHour, "mm/h"}, {"temperature_correlation", corr, "1"}}
	f.Why = fmt.Sprintf("with the pump off the level reading moves by %s mm/h over %s; correlation with the air temperature %s",
		number(-fit.mid*perHour*1000), lasting(span), number(corr))
	if span < 6*3600 {
		f.Missing = "six hours of feed with the pump off"
		return f
	}
	word := "none"
	switch {
	case math.Abs(corr) > 0.8 && swing >= 4 && math.Abs(perK) > w.perK && math.Abs(perK) < 0.01:
		word = "with-temperature"
		f.Why += fmt.Sprintf(", %.2g %% of the distance a kelvin (air left uncorrected gives 0.17 %%)", 100*perK)
	case math.Abs(fit.mid) > mostDrift:
		f.Missing = "hours without a draw-off: so fast a fall is water, and hides a drift"
		return f
	case math.Abs(fit.mid)*span > math.Max(w.least, 2*w.d.step.size()) && fit.low*fit.high > 0:
		word = "steady"
	}
	f.Verdict = Pass
	if word == "with-temperature" {
		f.Verdict = Fail
		f.Episodes = []Episode{{Span: f.Evidence, Figures: f.Figures}}
	}
	f.Grades = []Grade{{"drift", word, w.d.at(w.from), duration(now - w.from)}}
	return f
}

func (w *driftWatch) fit() slopeFit {
	var t, y [trailMost]float64
	n := min(w.np, trailMost)
	for i := range n {
		p := w.points[i*w.np/n]
		t[i], y[i] = p.t, p.u
	}
	return theilSen(t[:n], y[:n])
}

// withTemperature correlates distance and temperature, each with its own straight line taken out, so
// that a steady draw and a warming day do not pass for each other.
func (w *driftWatch) withTemperature(slope float64) (corr, perKelvin, swing float64) {
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
	return signal.Correlation(y, temp), perKelvin, high - low
}
