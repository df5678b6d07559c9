package circuit

import "math"

// Typical input limits of CMOS inputs as shares of the logic supply. Common practice, no source: data
// sheets say 0.6 to 0.8 for the high.
const (
	InputHigh = 0.75
	InputLow  = 0.25
)

// Divided is the voltage of a divider's middle.
func Divided(v, top, bottom float64) float64 { return v * bottom / (top + bottom) }

// DividerSource is the resistance that the input sees.
func DividerSource(top, bottom float64) float64 { return top * bottom / (top + bottom) }

// LeastEcho is the lowest input to the divider that still counts as high.
func LeastEcho(inputHigh, top, bottom float64) float64 { return inputHigh * (top + bottom) / bottom }

// EdgeTime is how long a pull-up with a capacitor takes to reach 75 % of the supply, or down to 25 %:
// RC ln 4, s.
func EdgeTime(ohm, farad float64) float64 { return ohm * farad * math.Log(4) }
