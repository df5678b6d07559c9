// Package quantity holds physical quantities: a value in SI units, its dimension and its standard
// uncertainty, parsed from and printed in the units people write.
//
// "1.75 m ± 5 mm" as a person writes it means that the value lies within 5 mm, nothing more being
// known: a rectangular distribution, whose standard uncertainty is 5 mm/√3 (JCGM 100:2008, 4.3.7).
// What the program says of its own estimates is the expanded uncertainty with k = 2, about 95 %
// (JCGM 100:2008, 6.2): see Interval.
package quantity

import "math"

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
	dimCount
)

var dimNames = [dimCount]string{"number", "percentage", "length", "area", "volume", "time", "speed", "flow", "angle", "temperature",
	"voltage", "current", "resistance", "capacitance", "power", "frequency", "pressure"}

// String is the dimension in a word, for messages.
func (d Dim) String() string {
	if d < dimCount {
		return dimNames[d]
	}
	return "?"
}

// Quantity is a value in the SI unit of its dimension (temperatures: degrees Celsius) with its
// standard uncertainty; U is zero when none was stated.
type Quantity struct {
	V   float64
	U   float64
	Dim Dim
}

// Of returns an exact quantity from its SI value.
func Of(v float64, dim Dim) Quantity { return Quantity{V: v, Dim: dim} }

// Within returns the same quantity with the standard uncertainty of "within ± half", in SI.
func (q Quantity) Within(half float64) Quantity {
	q.U = math.Abs(half) / math.Sqrt(3)
	return q
}

// Half is the half-width that a person would write after ±; the inverse of Within.
func (q Quantity) Half() float64 { return q.U * math.Sqrt(3) }

// System is the family of units a technician reads in.
type System uint8

// The systems of the --units flag.
const (
	Metric System = iota
	US
)
