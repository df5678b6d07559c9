package circuit

import "math"

// Copper is the temperature coefficient of annealed copper at 20 degC, 1/K (IEC 60028).
const Copper = 0.00393

// CopperFactor is by how much the resistance of copper at t degC exceeds that at 20 degC.
func CopperFactor(t float64) float64 { return 1 + Copper*(t-20) }

// MustOperate is the share of its rated voltage at which a relay pulls in for sure at 20 degC: the
// usual data-sheet figure, from memory.
const MustOperate = 0.75

// OperateVoltage is the voltage a coil at t degC needs, when it needs at20 volts at 20 degC: the
// current is what pulls.
func OperateVoltage(at20, t float64) float64 { return at20 * CopperFactor(t) }

// Kick is the ideal voltage across a coil that is switched off without suppression, V: all of its
// energy goes into the stray capacitance. The transistor breaks down before.
func Kick(current, inductance, stray float64) float64 {
	return current * math.Sqrt(inductance/stray)
}

// ReleaseTime is how long a coil's current takes to fall to a share of its start, s, against a
// clamping voltage (0.7 V for a diode; the zener's more with a zener in series).
func ReleaseTime(inductance, resistance, current, share, clamp float64) float64 {
	v := clamp / resistance
	return inductance / resistance * math.Log((current+v)/(share*current+v))
}
