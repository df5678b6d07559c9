package bench

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// scales are the prefixes people write before a unit on a meter.
var scales = map[string]float64{"": 1, "u": 1e-6, "µ": 1e-6, "n": 1e-9, "p": 1e-12, "m": 1e-3, "c": 1e-2, "k": 1e3, "M": 1e6}

// units maps what a person writes to SI: the base word and its factor.
var units = map[string]struct {
	base   string
	factor float64
}{"V": {"V", 1}, "A": {"A", 1}, "ohm": {"ohm", 1}, "Ω": {"ohm", 1}, "F": {"F", 1}, "m": {"m", 1}, "in": {"m", 0.0254},
	"s": {"s", 1}, "Hz": {"Hz", 1}, "W": {"W", 1}, "%": {"%", 0.01}}

// shownUnit is the unit in which a reading is typed when none is written: capacitors are in µF on
// every meter, lengths in inches where the technician reads US units.
func shownUnit(unit string, us bool) string {
	switch {
	case unit == "F":
		return "uF"
	case unit == "m" && us:
		return "in"
	}
	return unit
}

var errNumber = errors.New("a number, please, like 4.21 or 350 mV")

// parseReading turns what was typed into SI; unit is that of the field.
func parseReading(text, unit string) (float64, error) {
	text = strings.TrimSpace(text)
	cut := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("+-0123456789.,", r) })
	number, own := text, ""
	if cut >= 0 {
		number, own = text[:cut], strings.TrimSpace(text[cut:])
	}
	v, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, errNumber
	}
	factor, base, _ := unitOf(unit)
	if own == "" {
		return v * factor, nil
	}
	f, b, ok := unitOf(own)
	if s, scaled := scales[own]; scaled && base != "" && (!ok || b != base) { // "1.2 k" of the field's own unit
		return v * s * factor, nil
	}
	if !ok || (base != "" && b != base) {
		return 0, fmt.Errorf("%q is no %s", own, unit)
	}
	return v * f, nil
}

func unitOf(s string) (factor float64, base string, ok bool) {
	if u, is := units[s]; is {
		return u.factor, u.base, true
	}
	for name, u := range units {
		prefix, has := strings.CutSuffix(s, name)
		scale, is := scales[prefix]
		if has && is {
			return scale * u.factor, u.base, true
		}
	}
	return 1, "", false
}

// shownIn prints an SI value in a field's unit.
func shownIn(v float64, unit string) string {
	f, _, _ := unitOf(unit)
	return fmt.Sprintf("%.4g %s", v/f, unit)
}

// band is the answer whose band a reading falls into: a reading on a limit belongs to the upper
// band. It only previews; the session classifies.
func band(v float64, limits []float64, answers []string) string {
	i := 0
	for i < len(limits) && v >= limits[i] {
		i++
	}
	if i < len(answers) {
		return answers[i]
	}
	return ""
}
