package hydraulics

import "math"

// VapourPressure of water between 0 and 100 degC, Pa. It is the Wagner-Pruss equation for the
// saturation line (IAPWS supplementary release SR1-86(1992)).
func VapourPressure(t float64) float64 {
	const tc, pc = 647.096, 22.064e6
	tk := t + 273.15
	v := 1 - tk/tc
	s := -7.85951783*v + 1.84408259*math.Pow(v, 1.5) - 11.7866497*v*v*v + 22.6807411*math.Pow(v, 3.5) -
		15.9618719*math.Pow(v, 4) + 1.80122502*math.Pow(v, 7.5)
	return pc * math.Exp(tc/tk*s)
}

// Density of water at atmospheric pressure between 0 and 50 degC, kg/m3 (the formula of Kell, Journal
// of Chemical and Engineering Data 20:97, 1975).
func Density(t float64) float64 {
	n := 999.83952 + t*(16.945176+t*(-7.9870401e-3+t*(-46.170461e-6+t*(105.56302e-9-280.54253e-12*t))))
	return n / (1 + 16.879850e-3*t)
}

// AirPressure at an altitude in metres, Pa (U.S. Standard Atmosphere 1976, below 11 km).
func AirPressure(altitude float64) float64 {
	return 101325 * math.Pow(1-2.25577e-5*altitude, 5.25588)
}

// SuctionLimit is the height that the air can push water up at all, m. What a pump can do is less by
// pipe loss, velocity head and the pump's own need.
func SuctionLimit(altitude, water float64) float64 {
	return (AirPressure(altitude) - VapourPressure(water)) / (Density(water) * Gravity)
}

// PracticalLift is the suction lift that pumps manage at sea level, m (22 ft, a trade table).
const PracticalLift = 6.7
