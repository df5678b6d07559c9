// Package quantity holds physical quantities: a value in SI units, its dimension and its standard
// uncertainty, parsed from and printed in the units people write.
package quantity

// Dim is the dimension of a quantity: what kind of thing its number counts.
type Dim uint8

// The dimensions a site sheet, a probe or a dialect can speak of, each with its SI unit.
const (
	Number      Dim = iota // 1
	Ratio                  // 1; written in percent
	Length                 // m
	Area                   // m2
	Volume                 // m3
	Time                   // s
	Speed                  // m/s
	Flow                   // m3/s
	Angle                  // rad
	Temperature            // K as a difference, degC as a point: points are kept in degC
	Voltage                // V
	Current                // A
	Resistance             // ohm
	Capacitance            // F
	Power                  // W
	Frequency              // Hz
	Pressure               // Pa
)

// Quantity is a value in the SI unit of its dimension (temperatures: degrees Celsius) with its
// standard uncertainty; U is zero when none was stated.
type Quantity struct {
	V   float64
	U   float64
	Dim Dim
}
