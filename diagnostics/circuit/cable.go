package circuit

import "math"

// conductor is a row of IEC 60228:2004: greatest resistance at 20 degC, plain annealed copper.
type conductor struct{ area, class2, class5 float64 } // m2, ohm/m

// The 0.25 mm2 row is from memory (VDE 0812); the others are IEC 60228:2004.
var conductors = [...]conductor{
	{0.25e-6, 79.9e-3, 79.9e-3}, {0.5e-6, 36.0e-3, 39.0e-3}, {0.75e-6, 24.5e-3, 26.0e-3}, {1.0e-6, 18.1e-3, 19.5e-3},
	{1.5e-6, 12.1e-3, 13.3e-3}, {2.5e-6, 7.41e-3, 7.98e-3}, {4e-6, 4.61e-3, 4.95e-3}, {6e-6, 3.08e-3, 3.3e-3},
}

// ResistancePerMetre of a flexible conductor (class 5) of a cross-section in m2 at 20 degC, ohm/m: the
// table's value where the size is in it, else that of annealed copper, which is a little less.
func ResistancePerMetre(area float64) float64 {
	for _, c := range conductors {
		if math.Abs(c.area-area) < 1e-9 {
			return c.class5
		}
	}
	return copperResistivity / area
}

// SolidResistancePerMetre is the same for a solid or stranded conductor (class 1 or 2).
func SolidResistancePerMetre(area float64) float64 {
	for _, c := range conductors {
		if math.Abs(c.area-area) < 1e-9 {
			return c.class2
		}
	}
	return copperResistivity / area
}

// copperResistivity of annealed copper at 20 degC, ohm m (IACS).
const copperResistivity = 1.7241e-8

// GaugeDiameter is the diameter of American wire gauge n, m (ASTM B258).
func GaugeDiameter(n float64) float64 { return 0.127e-3 * math.Pow(92, (36-n)/39) }

// GaugeArea is the cross-section of American wire gauge n, m2.
func GaugeArea(n float64) float64 {
	d := GaugeDiameter(n)
	return math.Pi / 4 * d * d
}

// GaugeResistance of American wire gauge n, ohm/m at 20 degC.
func GaugeResistance(n float64) float64 { return copperResistivity / GaugeArea(n) }

// Drop is the voltage lost in both conductors of a cable, V.
func Drop(length, perMetre, current float64) float64 { return 2 * length * perMetre * current }

// NextArea is the smallest usual cross-section whose drop stays within a limit, m2; 0 when none does.
func NextArea(length, current, drop float64) float64 {
	for _, c := range conductors {
		if Drop(length, c.class5, current) <= drop {
			return c.area
		}
	}
	return 0
}
