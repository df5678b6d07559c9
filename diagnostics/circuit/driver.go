// Package circuit holds the small electrics of a level controller: relay driver, divider, pull-up,
// cable and supply. All values are in SI units.
package circuit

import "math"

// Typical drops of a small silicon transistor, V. Common practice, no source.
const (
	BaseEmitter = 0.7
	Saturation  = 0.2
)

// Limits of the forced gain of a saturated switch: up to 10 it is saturated for sure, up to 20
// acceptable (The Art of Electronics, 3rd ed., ch. 2, as quoted elsewhere).
const (
	SureGain = 10.0
	MostGain = 20.0
)

// Driver is an NPN transistor that switches a relay coil to ground.
type Driver struct {
	Pin, BaseEmitter   float64 // V
	BaseResistor       float64 // ohm
	Supply, Saturation float64 // V of the coil's supply, V left across the transistor
	Coil               float64 // ohm
}

// BaseCurrent is what the pin drives into the base, A; it never flows backwards.
func (d Driver) BaseCurrent() float64 { return max(0, (d.Pin-d.BaseEmitter)/d.BaseResistor) }

// CoilCurrent is what the coil takes when the transistor is saturated, A.
func (d Driver) CoilCurrent() float64 { return (d.Supply - d.Saturation) / d.Coil }

// ForcedGain is the gain that the transistor must have: coil current over base current.
func (d Driver) ForcedGain() float64 { return d.CoilCurrent() / d.BaseCurrent() }

// ResistorFor is the greatest base resistor for a forced gain, ohm.
func (d Driver) ResistorFor(gain float64) float64 {
	return (d.Pin - d.BaseEmitter) * gain / d.CoilCurrent()
}

// e24 are the values of a decade of the E24 series (IEC 60063).
var e24 = [...]float64{1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1}

// E24 is the nearest value of the E24 series (IEC 60063), as ratios go; 0 for what is no resistor.
func E24(ohm float64) float64 {
	if !(ohm > 0) || math.IsInf(ohm, 0) {
		return 0
	}
	decade := math.Pow(10, math.Floor(math.Log10(ohm)))
	best := 10 * decade
	for _, v := range e24 {
		if math.Abs(math.Log(v*decade/ohm)) < math.Abs(math.Log(best/ohm)) {
			best = v * decade
		}
	}
	return math.Round(best*1e6) / 1e6
}

// E24Below is the greatest value of the series that is not above ohm.
func E24Below(ohm float64) float64 {
	v := E24(ohm)
	for step := ohm; v > ohm*(1+1e-9); {
		step *= 0.97
		v = E24(step)
	}
	return v
}
