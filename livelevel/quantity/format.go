package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// choice is a unit and the smallest magnitude, in SI, from which it is preferred.
type choice struct {
	from   float64
	symbol string
}

// metric and us list for each dimension the units technicians read, the largest first. Where a
// dimension is absent from us, both read the same.
var metric = map[Dim][]choice{
	Ratio: {{0, "%"}}, Length: {{0.1, "m"}, {0, "mm"}}, Area: {{0.01, "m2"}, {1e-4, "cm2"}, {0, "mm2"}},
	Volume: {{1, "m3"}, {0.001, "l"}, {0, "ml"}}, Time: {{7200, "h"}, {120, "min"}, {1, "s"}, {1e-3, "ms"}, {0, "us"}},
	Speed: {{0.1, "m/s"}, {0, "mm/min"}}, Flow: {{1.0 / 3600, "m3/h"}, {0, "l/min"}}, Angle: {{0, "deg"}}, Temperature: {{0, "degC"}},
	Voltage: {{0.1, "V"}, {0, "mV"}}, Current: {{1, "A"}, {1e-3, "mA"}, {0, "uA"}}, Resistance: {{1e6, "Mohm"}, {1e3, "kohm"}, {0, "ohm"}},
	Capacitance: {{1e-6, "uF"}, {1e-9, "nF"}, {0, "pF"}}, Power: {{1e3, "kW"}, {0, "W"}},
	Frequency: {{1e3, "kHz"}, {0.1, "Hz"}, {0, "1/h"}}, Pressure: {{0, "kPa"}},
}

var us = map[Dim][]choice{
	Length: {{120 * 0.0254, "ft"}, {0, "in"}}, Area: {{0.1, "ft2"}, {1e-4, "in2"}, {0, "mm2"}}, Volume: {{0.001, "gal"}, {0, "in3"}},
	Speed: {{0.1, "ft/s"}, {0, "in/min"}}, Flow: {{0, "gpm"}}, Temperature: {{0, "degF"}}, Power: {{100, "hp"}, {0, "W"}}, Pressure: {{0, "psi"}},
}

// UnitFor is the unit in which a technician reads a value of that size.
func UnitFor(v float64, dim Dim, sys System) Unit {
	choices := metric[dim]
	if sys == US && us[dim] != nil {
		choices = us[dim]
	}
	if v == 0 && dim != Temperature { // zero has no size: the everyday unit
		return mustUnit(dim, everyday(choices))
	}
	for _, c := range choices {
		if math.Abs(v) >= c.from*(1-1e-9) {
			return mustUnit(dim, c.symbol)
		}
	}
	return SIUnit(dim)
}

func everyday(choices []choice) string {
	if len(choices) == 0 {
		return ""
	}
	return choices[0].symbol
}

func mustUnit(dim Dim, symbol string) Unit {
	if u, ok := FindUnitOf(dim, symbol); ok {
		return u
	}
	return SIUnit(dim)
}

// Format writes the value for a technician, with up to four significant digits: "1.75 m", "68.9 in".
// It says nothing of the uncertainty: see Interval.
func Format(q Quantity, sys System) string {
	if math.IsNaN(q.V) {
		return "unknown"
	}
	u := UnitFor(q.V, q.Dim, sys)
	return join(digits(u.FromSI(q.V), 4), u.Symbol)
}

// Interval writes the value with its expanded uncertainty (k = 2, about 95 %) in the same unit, both
// rounded to what the uncertainty warrants: "0.842 m ± 0.012 m". Without uncertainty it is Format.
func Interval(q Quantity, sys System) string {
	if math.IsNaN(q.V) || !(q.U > 0) {
		return Format(q, sys)
	}
	u := UnitFor(q.V, q.Dim, sys)
	half := math.Abs(u.DiffFromSI(2 * q.U))
	places := decimals(half)
	symbol := u.Symbol
	return join(fixed(u.FromSI(q.V), places), symbol) + " ± " + join(fixed(half, places), diffSymbol(symbol))
}

// diffSymbol is the unit of a difference: kelvin for degC, but degF stays what its readers know.
func diffSymbol(symbol string) string {
	if symbol == "degC" {
		return "K"
	}
	return symbol
}

// decimals keeps two digits of an uncertainty that begins with 1 or 2, else one.
func decimals(half float64) int {
	exp := math.Floor(math.Log10(half))
	lead := half / math.Pow(10, exp)
	n := -int(exp)
	if lead < 2.95 {
		n++
	}
	return min(max(n, 0), 9)
}

// String writes the quantity as a sheet holds it: in SI or its everyday multiple, exactly, with the
// half-width after ±. Parse gives the same quantity back.
func (q Quantity) String() string {
	u := UnitFor(q.V, q.Dim, Metric)
	s := join(digits(u.FromSI(q.V), 12), u.Symbol)
	if q.U > 0 {
		v := UnitFor(q.Half(), q.Dim, Metric)
		s += " ± " + join(digits(v.DiffFromSI(q.Half()), 6), diffSymbol(v.Symbol))
	}
	return s
}

// In gives the value in a unit of its own dimension.
func (q Quantity) In(symbol string) (float64, error) {
	u, ok := FindUnitOf(q.Dim, symbol)
	if !ok {
		return 0, fmt.Errorf("converting a %s to %q: units of it are %s", q.Dim, shown(symbol), symbols(q.Dim))
	}
	return u.FromSI(q.V), nil
}

func join(number, symbol string) string {
	if symbol == "" {
		return number
	}
	return number + " " + symbol
}

// digits writes a number with at most n significant digits, no trailing zeros and no exponent where
// a person would use none.
func digits(v float64, n int) string {
	if v == 0 {
		return "0"
	}
	exp := int(math.Floor(math.Log10(math.Abs(v))))
	if exp < -7 || exp > 14 {
		return strconv.FormatFloat(v, 'g', n, 64)
	}
	if places := n - 1 - exp; places >= 0 {
		return fixedTrim(v, places)
	}
	p := math.Pow(10, float64(exp-n+1))
	return fixedTrim(math.Round(v/p)*p, 0)
}

func fixed(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

func fixedTrim(v float64, places int) string {
	s := fixed(v, places)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
