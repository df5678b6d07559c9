package bench

import (
	"errors"
	"fmt"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/livelevel/quantity"
)

// shownUnit is the unit in which a reading is typed when none is written: capacitors are in uF on
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

// parseReading turns what was typed into SI; unit is that of the field.
func parseReading(text, unit string) (float64, error) {
	q, err := quantity.ParseTyped(text, unit)
	if err != nil {
		if inner := errors.Unwrap(err); inner != nil { // the field shows the text itself
			return 0, inner
		}
		return 0, err
	}
	return q.V, nil
}

// shownIn prints an SI value in the unit of a field.
func shownIn(v float64, unit, field string) string {
	if unit != field {
		if u, ok := quantity.FindUnit(field); ok {
			return fmt.Sprintf("%.4g %s", u.FromSI(v), field)
		}
	}
	return faulttree.Engineering(v, unit)
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
