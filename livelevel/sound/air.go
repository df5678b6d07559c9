// Package sound is what an ultrasonic ranger meets in the air over the water: the speed of sound,
// how fast it is absorbed, how wide the beam is and how long an echo takes. SI units, temperatures in
// degrees Celsius, humidity as a share of saturation from 0 to 1.
package sound

import "math"

// StandardPressure is that of the atmosphere at sea level, Pa.
const StandardPressure = 101325.0

// Carbon dioxide in outdoor air, as a mole fraction. Its effect over a tank is far below that of the
// humidity: 0.001 more slows sound by 0.03 %.
const carbonDioxide = 0.0004

// Air is the air over the water. A Pressure of zero means StandardPressure.
type Air struct {
	Temperature float64 // degC
	Humidity    float64 // share of saturation, 0..1
	Pressure    float64 // Pa
}

func (a Air) pressure() float64 {
	if a.Pressure > 0 {
		return a.Pressure
	}
	return StandardPressure
}

func kelvin(t float64) float64 { return t + 273.15 }

// DrySpeed is the speed of sound where the humidity is not known: the dry-air approximation of
// ISO 9613-1:1993, for -20 to 50 degC. At 30 degC saturated air carries sound 0.66 % faster.
func DrySpeed(t float64) float64 { return 343.2 * math.Sqrt(kelvin(t)/293.15) }

// Speed is the speed of sound in humid air: J. Acoust. Soc. Am. 93:2510-2516 (1993), "The variation
// of the specific heat ratio and the speed of sound in air with temperature, pressure, humidity, and
// CO2 concentration", eq. (15) with table III. Outside InRange it is used all the same: over 0 to
// 50 degC and any humidity it stays within 0.017 % of the IAPWS equation of state of humid air.
func (a Air) Speed() float64 {
	return speed(a.Temperature, a.WaterFraction(), a.pressure(), carbonDioxide)
}

func speed(t, w, p, c float64) float64 {
	t2 := t * t
	return 331.5024 + 0.603055*t - 0.000528*t2 +
		(51.471935+0.1495874*t-0.000782*t2)*w +
		(-1.82e-7+3.73e-8*t-2.93e-10*t2)*p +
		(-85.20931-0.228525*t+5.91e-5*t2)*c -
		2.835149*w*w - 2.15e-13*p*p + 29.179762*c*c + 0.000486*w*p*c
}

// InRange tells whether the air is within the range for which the source states the equation of
// Speed: 0 to 30 degC, 75 to 102 kPa, at most 6 % of water.
func (a Air) InRange() bool {
	p := a.pressure()
	return a.Temperature >= 0 && a.Temperature <= 30 && p >= 75e3 && p <= 102e3 && a.WaterFraction() <= 0.06
}

// WaterFraction is the mole fraction of water vapour: the CIPM-81/91 equation for moist air,
// Metrologia 29:67 (1992).
func (a Air) WaterFraction() float64 {
	t, p := a.Temperature, a.pressure()
	k := kelvin(t)
	saturated := math.Exp(1.2378847e-5*k*k - 1.9121316e-2*k + 33.93711047 - 6343.1645/k)
	enhancement := 1.00062 + 3.14e-8*p + 5.6e-7*t*t
	return a.Humidity * enhancement * saturated / p
}

// Absorption of a tone in the air, dB per metre: ISO 9613-1:1993, eqs. (3) to (5) with annex B for
// the humidity; within 10 % for 0.05 to 5 % of water and -20 to 50 degC. The 40 kHz of the usual
// sensor lie within its range of frequency over pressure.
func (a Air) Absorption(frequency float64) float64 {
	t := kelvin(a.Temperature)
	atm := a.pressure() / StandardPressure
	warmth := t / 293.15
	h := 100 * a.Humidity * math.Pow(10, 4.6151-6.8346*math.Pow(273.16/t, 1.261)) / atm
	oxygen := atm * (24 + 4.04e4*h*(0.02+h)/(0.391+h))
	nitrogen := atm / math.Sqrt(warmth) * (9 + 280*h*math.Exp(-4.170*(math.Pow(warmth, -1.0/3)-1)))
	f2 := frequency * frequency
	relaxation := 0.01275*math.Exp(-2239.1/t)/(oxygen+f2/oxygen) + 0.1068*math.Exp(-3352.0/t)/(nitrogen+f2/nitrogen)
	return 8.686 * f2 * (1.84e-11/atm*math.Sqrt(warmth) + math.Pow(warmth, -2.5)*relaxation)
}
