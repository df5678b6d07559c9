package livelevel

import (
	"fmt"
	"math"
)

// part names one contribution to the uncertainty of a level.
type part uint8

const (
	temperaturePart part = iota
	humidityPart
	digitsPart
	noisePart
	mountingPart
	tiltPart
	choicePart
	partCount
)

var partNames = [partCount]string{"air temperature", "air humidity", "resolution of the feed", "scatter of the readings",
	"mounting height", "tilt of the sensor", "which of two echoes is the water"}

// terms are the standard uncertainties of the height (of the ullage where no mounting height is
// known), each in metres.
func (g *Gauge) terms(ullage, fit float64) (t [partCount]float64) {
	t[noisePart], t[choicePart] = fit, g.choiceU()
	if res := g.digit.resolution() * g.scale; res > 0 {
		t[digitsPart] = g.rounding(res)
	}
	if math.IsNaN(ullage) {
		return t
	}
	d := math.Abs(ullage)
	t[temperaturePart] = d * g.relTemp()
	t[humidityPart] = d * g.air.relHum
	t[tiltPart] = d * g.facts.tiltRel
	if !math.IsNaN(g.facts.face) {
		t[mountingPart] = g.facts.faceU
	}
	return t
}

// choiceU is what a choice by mere majority leaves open. The other echo is the water with a probability
// taken as its share of the readings; the root of the expected square of the error is then this. The 95 %
// interval takes the other echo in from a quarter of the readings on.
func (g *Gauge) choiceU() float64 {
	if !g.two || g.choice != byMajority {
		return 0
	}
	return math.Sqrt(g.secondShare()) * math.Abs(g.main.value-g.second.value)
}

// relTemp is the relative uncertainty that the air's temperature brings. A firmware that corrects by
// itself knows the temperature better than a sheet that says nothing of it.
func (g *Gauge) relTemp() float64 {
	if g.owns && g.airUnknown() {
		return min(g.air.relTemp, sheetTempHalf/root3/(2*293.15))
	}
	return g.air.relTemp
}

// combine is the root of the sum of squares: JCGM 100:2008, equation (10), uncorrelated inputs.
func (g *Gauge) combine(t [partCount]float64) float64 {
	sum := 0.0
	for _, u := range t {
		sum += u * u
	}
	return math.Sqrt(sum)
}

// Term is one contribution to the uncertainty of the level.
type Term struct {
	Name string
	U    float64 // standard uncertainty, m
}

// Budget says where the uncertainty of a level comes from.
type Budget struct {
	Terms []Term
	U     float64 // standard uncertainty of the height, m
	// SizeU is the relative standard uncertainty of the tank's cross-section, which adds to that of
	// the volume.
	SizeU float64
	// Largest is the greatest contribution in words.
	Largest string
}

// Budget returns the uncertainty budget of the last level, after JCGM 100. Precision is not accuracy:
// only the scatter and the digits show on the screen, the others do not.
func (g *Gauge) Budget() Budget {
	b := Budget{SizeU: g.facts.areaU, Largest: "no usable reading yet"}
	if g.main.hits == 0 {
		return b
	}
	ullage := math.NaN()
	if g.basis == fromFace {
		ullage = g.main.value
	}
	uFit, uSlope := g.fitU()
	t := g.terms(ullage, g.drift(uFit, uSlope, g.clock.now-g.main.at))
	b.U = g.combine(t)
	greatest := part(0)
	for p := range partCount {
		b.Terms = append(b.Terms, Term{partNames[p], t[p]})
		if t[p] > t[greatest] {
			greatest = p
		}
	}
	b.Largest = g.largest(greatest, t[greatest])
	return b
}

func (g *Gauge) largest(p part, u float64) string {
	mm := 1000 * u
	switch p {
	case temperaturePart:
		if g.airUnknown() {
			return fmt.Sprintf("mostly the air temperature, which is not known: %.0f mm here", mm)
		}
		return fmt.Sprintf("mostly the air temperature: %.1f K is %.1f mm here", g.air.tempU, mm)
	case humidityPart:
		return fmt.Sprintf("mostly the air humidity: %.0f %% is %.1f mm here", g.air.humidityU, mm)
	case digitsPart:
		return fmt.Sprintf("mostly the resolution of the feed: steps of %.3g mm", 1000*g.digit.resolution()*g.scale)
	case mountingPart:
		return fmt.Sprintf("mostly the mounting height: %.1f mm", mm)
	case choicePart:
		return fmt.Sprintf("mostly which of two echoes is the water: the other is %.0f mm away", 1000*math.Abs(g.main.value-g.second.value))
	case tiltPart:
		return fmt.Sprintf("mostly the tilt of the sensor: %.1f degrees is %.1f mm here", g.facts.tilt*180/math.Pi, mm)
	}
	return fmt.Sprintf("mostly the scatter of the readings: %.1f mm", mm)
}

// airUnknown is true while neither the sheet nor the feed has said how warm the air is.
func (g *Gauge) airUnknown() bool {
	return g.facts.airAssumed && (math.IsNaN(g.air.temp) || g.air.temp == g.facts.airTemp)
}
