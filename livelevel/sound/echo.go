package sound

import "math"

// Frequency of the usual ranging sensor, Hz.
const Frequency = 40e3

// Rule58 is the speed of sound that lies in the trade rule "58 microseconds a centimetre", true at
// 22.8 degC; firmware that divides by 58 divides by this. Common practice.
const Rule58 = 2 / 58e-4

// EchoTime is how long a ping takes to the water at that distance and back, s.
func EchoTime(distance, speed float64) float64 { return 2 * distance / speed }

// Distance of the water whose echo came after that time, m.
func Distance(echo, speed float64) float64 { return echo * speed / 2 }

// Correct gives the true distance of one that was computed with an assumed speed of sound.
func Correct(distance, assumed, speed float64) float64 { return distance * speed / assumed }

// EchoLoss is how much weaker an echo from still water is than the ping 1 m from the sensor, dB:
// water is a mirror, so the sound spreads over twice the distance and is absorbed on the way. Ripples,
// foam and a sensor out of square cost more, how much is not known.
func EchoLoss(distance float64, air Air, frequency float64) (spreading, absorption float64) {
	path := 2 * distance
	return 20 * math.Log10(path), path * air.Absorption(frequency)
}

// Footprint is the radius of the beam on the water, m.
func Footprint(distance, halfAngle float64) float64 { return distance * math.Tan(halfAngle) }

// Blanking is the distance within which a transducer that rings on for that time hears nothing, m.
func Blanking(ring, speed float64) float64 { return speed * ring / 2 }

// PingInterval is the least time between two pings so that the echo from the greatest distance, and
// the ringing, are over when the next one starts, s.
func PingInterval(distance, ring, speed float64) float64 { return EchoTime(distance, speed) + ring }

// UsualPing is the interval between pings that sensor sheets ask for, s; it covers echoes from as far
// as 10 m. Common practice, no source.
const UsualPing = 0.060

// Piston is a flat round source in a wall, which is what a transducer nearly is.
type Piston struct{ Diameter, Wavelength float64 }

// PistonAt is the piston of a transducer at a frequency and speed of sound.
func PistonAt(diameter, frequency, speed float64) Piston { return Piston{diameter, speed / frequency} }

// The directivity 2 J1(x)/x falls by 3 dB and 6 dB, one way, and to nothing at these x; x is
// π D sin(angle)/wavelength. Textbook acoustics.
const (
	pistonHalfPower = 1.6137
	pistonHalf      = 2.2118
	pistonNull      = 3.8317
)

// HalfAngle3dB is the angle off the axis at which the sound is half the power, rad; NaN where the
// source is so small that it never falls so far.
func (p Piston) HalfAngle3dB() float64 { return p.angle(pistonHalfPower) }

// HalfAngle6dB is the angle at which the pressure is half, rad.
func (p Piston) HalfAngle6dB() float64 { return p.angle(pistonHalf) }

// NullAngle is the angle of the first null, rad.
func (p Piston) NullAngle() float64 { return p.angle(pistonNull) }

func (p Piston) angle(x float64) float64 {
	return math.Asin(x / math.Pi * p.Wavelength / p.Diameter)
}

// NearField is the distance within which there is no beam yet, m.
func (p Piston) NearField() float64 { return p.Diameter * p.Diameter / (4 * p.Wavelength) }
