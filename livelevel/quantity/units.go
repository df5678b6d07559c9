package quantity

import (
	"math"
	"strings"
)

// Unit is a unit of measurement. SI = (v + offset) * mul / div: a quotient of whole numbers, so that
// 35 cm is 0.35 m to the last bit.
type Unit struct {
	Symbol string
	Dim    Dim

	offset, mul, div float64
	aliases          []string
}

// SI turns a value in this unit into the SI unit (temperatures: degC).
func (u Unit) SI(v float64) float64 {
	if u.Symbol == "AWG" {
		return awgArea(v)
	}
	return (v + u.offset) * u.mul / u.div
}

// FromSI is the inverse of SI.
func (u Unit) FromSI(v float64) float64 {
	if u.Symbol == "AWG" {
		return awgGauge(v)
	}
	return v*u.div/u.mul - u.offset
}

// Diff turns a difference or an uncertainty into SI: like SI, but the zero points do not matter.
func (u Unit) Diff(v float64) float64 { return v * u.mul / u.div }

// DiffFromSI is the inverse of Diff.
func (u Unit) DiffFromSI(v float64) float64 { return v * u.div / u.mul }

// Wire gauge: ASTM B258, d = 0.127 mm * 92^((36-n)/39).
func awgArea(n float64) float64 {
	d := 0.127e-3 * math.Pow(92, (36-n)/39)
	return math.Pi / 4 * d * d
}

func awgGauge(area float64) float64 {
	d := math.Sqrt(4 * area / math.Pi)
	return 36 - 39*math.Log(d/0.127e-3)/math.Log(92)
}

// Exact by definition: the inch (25.4 mm), the US gallon (231 in3), the imperial gallon (4.54609 l);
// NIST Special Publication 811 (2008), appendix B.8, from memory.
const (
	gallon = 3785411784 // 1e-12 m3
	foot3  = 28316846592
)

func unit(dim Dim, symbol string, mul, div float64, aliases ...string) Unit {
	return Unit{Symbol: symbol, Dim: dim, mul: mul, div: div, aliases: aliases}
}

// units in the order in which messages name them; the first of a dimension is its SI unit.
var units = []Unit{
	unit(Number, "", 1, 1),
	unit(Ratio, "%", 1, 100, "percent", "pct"),
	unit(Length, "m", 1, 1), unit(Length, "cm", 1, 100), unit(Length, "mm", 1, 1000), unit(Length, "in", 254, 10000, "inch", "inches", `"`),
	unit(Length, "ft", 3048, 10000, "foot", "feet", "'"), unit(Length, "um", 1, 1e6), unit(Length, "km", 1000, 1),
	unit(Area, "m2", 1, 1), unit(Area, "cm2", 1, 1e4), unit(Area, "mm2", 1, 1e6, "sqmm"), unit(Area, "in2", 64516, 1e8, "sqin"),
	unit(Area, "ft2", 9290304, 1e8, "sqft"), unit(Area, "AWG", 1, 1),
	unit(Volume, "m3", 1, 1), unit(Volume, "l", 1, 1000, "L", "litre", "liter", "litres", "liters", "dm3"), unit(Volume, "ml", 1, 1e6, "mL", "cm3"),
	unit(Volume, "gal", gallon, 1e12, "USgal"), unit(Volume, "in3", 16387064, 1e12), unit(Volume, "ft3", foot3, 1e12),
	unit(Volume, "impgal", 454609, 1e8),
	unit(Time, "s", 1, 1, "sec"), unit(Time, "ms", 1, 1e3), unit(Time, "us", 1, 1e6), unit(Time, "min", 60, 1), unit(Time, "h", 3600, 1, "hr"), unit(Time, "d", 86400, 1),
	unit(Speed, "m/s", 1, 1), unit(Speed, "cm/s", 1, 100), unit(Speed, "mm/s", 1, 1000), unit(Speed, "mm/min", 1, 60000), unit(Speed, "cm/min", 1, 6000),
	unit(Speed, "mm/h", 1, 3.6e6), unit(Speed, "m/h", 1, 3600), unit(Speed, "ft/s", 3048, 1e4), unit(Speed, "in/s", 254, 1e4), unit(Speed, "in/min", 254, 6e5),
	unit(Speed, "in/h", 254, 3.6e7),
	unit(Flow, "m3/s", 1, 1), unit(Flow, "m3/h", 1, 3600), unit(Flow, "l/s", 1, 1e3, "L/s"), unit(Flow, "l/min", 1, 6e4, "L/min", "lpm"), unit(Flow, "l/h", 1, 3.6e6, "L/h"),
	unit(Flow, "gpm", gallon, 6e13, "gal/min"), unit(Flow, "gph", gallon, 3.6e15, "gal/h"), unit(Flow, "ft3/min", foot3, 6e13, "cfm"),
	unit(Angle, "rad", 1, 1), unit(Angle, "deg", math.Pi, 180, "degree", "degrees"),
	unit(Temperature, "degC", 1, 1, "C"), {Symbol: "degF", Dim: Temperature, offset: -32, mul: 5, div: 9, aliases: []string{"F"}},
	{Symbol: "K", Dim: Temperature, offset: -273.15, mul: 1, div: 1},
	unit(Voltage, "V", 1, 1, "VDC", "VAC", "volt", "volts"), unit(Voltage, "mV", 1, 1e3), unit(Voltage, "kV", 1e3, 1),
	unit(Current, "A", 1, 1, "amp", "amps"), unit(Current, "mA", 1, 1e3), unit(Current, "uA", 1, 1e6),
	unit(Resistance, "ohm", 1, 1, "ohms", "R"), unit(Resistance, "kohm", 1e3, 1, "k", "kohms"), unit(Resistance, "Mohm", 1e6, 1), unit(Resistance, "mohm", 1, 1e3),
	unit(Capacitance, "F", 1, 1), unit(Capacitance, "uF", 1, 1e6, "mfd"), unit(Capacitance, "nF", 1, 1e9), unit(Capacitance, "pF", 1, 1e12), unit(Capacitance, "mF", 1, 1e3),
	unit(Power, "W", 1, 1), unit(Power, "kW", 1e3, 1), unit(Power, "hp", 745.69987158227022, 1), unit(Power, "mW", 1, 1e3),
	unit(Frequency, "Hz", 1, 1), unit(Frequency, "kHz", 1e3, 1), unit(Frequency, "MHz", 1e6, 1), unit(Frequency, "1/h", 1, 3600, "/h"), unit(Frequency, "1/min", 1, 60, "/min"),
	unit(Pressure, "Pa", 1, 1), unit(Pressure, "hPa", 100, 1, "mbar"), unit(Pressure, "kPa", 1e3, 1), unit(Pressure, "bar", 1e5, 1), unit(Pressure, "psi", 6894.757293168361, 1),
	unit(Pressure, "MPa", 1e6, 1), unit(Pressure, "atm", 101325, 1),
}

// Units lists the units of a dimension, the SI unit first.
func Units(dim Dim) []Unit {
	var out []Unit
	for _, u := range units {
		if u.Dim == dim {
			out = append(out, u)
		}
	}
	return out
}

// SIUnit is the unit in which values of a dimension are kept; for a Ratio, kept as a share, it is the
// percent in which it is written.
func SIUnit(dim Dim) Unit {
	for _, u := range units {
		if u.Dim == dim {
			return u
		}
	}
	return units[0]
}

// FindUnit finds a unit of any dimension by its symbol; F is the farad here.
func FindUnit(symbol string) (Unit, bool) {
	s := plainSymbol(symbol)
	for _, u := range units {
		if u.Symbol == s {
			return u, true
		}
	}
	for _, u := range units {
		if u.is(s) {
			return u, true
		}
	}
	return Unit{}, false
}

// FindUnitOf finds a unit of one dimension: there F can be degrees Fahrenheit, and capitals matter
// only where they tell two units apart (mohm, Mohm).
func FindUnitOf(dim Dim, symbol string) (Unit, bool) {
	s := plainSymbol(symbol)
	var folded []Unit
	for _, u := range units {
		if u.Dim != dim {
			continue
		}
		if u.is(s) {
			return u, true
		}
		if u.folds(s) {
			folded = append(folded, u)
		}
	}
	if len(folded) == 1 {
		return folded[0], true
	}
	return Unit{}, false
}

func (u Unit) is(s string) bool {
	if u.Symbol == s {
		return true
	}
	for _, a := range u.aliases {
		if a == s {
			return true
		}
	}
	return false
}

func (u Unit) folds(s string) bool {
	if strings.EqualFold(u.Symbol, s) {
		return true
	}
	for _, a := range u.aliases {
		if len(a) > 1 && strings.EqualFold(a, s) {
			return true
		}
	}
	return false
}

var plainer = strings.NewReplacer(" ", "", "\u00a0", "", "³", "3", "²", "2", "^", "", "µ", "u", "μ", "u", "Ω", "ohm", "\u2126", "ohm",
	"°", "deg", "″", `"`, "′", "'", "·", "")

// plainSymbol writes a unit as the table does: without spaces, powers and Greek as plain letters.
func plainSymbol(s string) string { return plainer.Replace(s) }
