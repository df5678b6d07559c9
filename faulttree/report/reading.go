package report

import (
	"strconv"

	"example.org/tankhand/livelevel/quantity"
)

// reading writes a meter reading kept in SI, in the unit a technician reads. Temperatures are kept in
// degrees Celsius.
func (r Report) reading(v float64, unit string) string {
	if u, ok := quantity.FindUnit(unit); ok && unit != "" {
		return quantity.Format(quantity.Of(v, u.Dim), r.opt.Units)
	}
	text := strconv.FormatFloat(v, 'g', 5, 64)
	if unit == "" {
		return text
	}
	return text + " " + unit
}
