package diagnostics

import (
	"fmt"
	"math"

	"example.org/tankhand/diagnostics/hydraulics"
	"example.org/tankhand/livelevel/site"
)

// practice is the source of limits that no standard gives.
const practice = "common practice, no source"

// limit is a firm's own limit for CHECK.WORD, or the built-in one, with where it comes from. The names
// that a site sheet may set under limits, with the built-in values in SI (shares as fractions):
//
//	feed-health.damaged 0.03 of lines     feed-health.stops 15 s of silence
//	echo-dropouts.some 0.05               echo-dropouts.nearly-all 0.8
//	reading-spread.medium 0.01 m          reading-spread.large 0.025 m
//	reading-shape.spikes 0.02             stuck-reading.due 0.03 m of motion due
//	pump-noise.worse-on 2.5 times         pump-noise.only-on 5 times
//	relay-switching.several 15 an hour    inputs.presses 16 edges in 5 min
//	threshold-margin.far-too-small 3      threshold-margin.tight 6 spreads
//	supply-sag.marked 0.05                supply-sag.deep 0.10
//	fill-rate.none 0.1 of healthy         fill-rate.slow 0.75 of healthy
//	fill-rate.weaker 0.2 lost from run to run
//	draw-rate.rises 0.01 m                inputs.held 30 s
//	drift.steady 0.01 m                   drift.with-temperature 0.0005 of the distance a kelvin
//	marks.differ 0.03 m
func limit(sheet *site.Sheet, name string, builtIn float64) (value float64, source string) {
	if f, ok := sheet.Limits[name]; ok && f.Known() && !math.IsNaN(f.V) {
		return f.V, "the site sheet's own limit " + name
	}
	return builtIn, practice
}

// StartsLimit is the one limit for starts per hour: 15, or what the motor's plate allows if less.
func StartsLimit(sheet *site.Sheet) (perHour float64, source string) {
	if f, ok := sheet.Limits["relay-switching.several"]; ok && f.Known() {
		return f.V, "the site sheet's own limit relay-switching.several"
	}
	perHour, source = 15, practice
	if m, ok := motorStarts(sheet.Pump); ok && m < perHour {
		return m, "NEMA MG 10 table 2-3, for this motor's power and poles"
	}
	return perHour, source
}

// motorStarts looks up a three-phase motor.
func motorStarts(p site.PumpFacts) (perHour float64, ok bool) {
	poles := p.MotorPoles.Or(0)
	if p.Phases.Or(0) != 3 || !p.MotorPower.Known() || poles != math.Trunc(poles) {
		return 0, false
	}
	perHour, _, ok = hydraulics.MotorStarts(p.MotorPower.V, int(poles))
	return perHour, ok
}

// Small printers for the sentences of findings.

func percent(x float64) string {
	if math.IsNaN(x) {
		return "unknown"
	}
	return number(100*x) + " %"
}

// number prints three digits, and never an exponent: what is next to nothing is 0, and what is large is
// whole.
func number(x float64) string {
	if math.IsNaN(x) {
		return "unknown"
	}
	switch a := math.Abs(x); {
	case a < 1e-4:
		return "0"
	case a >= 1000:
		return fmt.Sprintf("%.0f", x)
	}
	return fmt.Sprintf("%.3g", x)
}

// share is a part of a whole, NaN of nothing.
func share(part, whole float64) float64 {
	if whole <= 0 {
		return math.NaN()
	}
	return part / whole
}

func inLength(m float64) string {
	switch a := math.Abs(m); {
	case math.IsNaN(m):
		return "unknown"
	case a < 0.01:
		return fmt.Sprintf("%.1f mm", 1000*m)
	case a < 1:
		return fmt.Sprintf("%.1f cm", 100*m)
	}
	return fmt.Sprintf("%.3f m", m)
}

// lasting is a time of the feed in words; a feed without times counts its readings.
func (d *digest) lasting(s float64) string {
	if !d.timed && !math.IsNaN(s) {
		return counted(int(s), "reading", "readings")
	}
	return lasting(s)
}

func lasting(s float64) string {
	switch {
	case math.IsNaN(s):
		return "unknown"
	case s < 120:
		return fmt.Sprintf("%.3g s", s)
	case s < 7200:
		return fmt.Sprintf("%.3g min", s/60)
	}
	return fmt.Sprintf("%.3g h", s/3600)
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
