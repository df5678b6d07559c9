package report

import "strconv"

// reading writes a meter reading kept in SI, with its unit.
func (r Report) reading(v float64, unit string) string {
	switch unit {
	case "m":
		return r.opt.Units.number("_m", v)
	case "m3":
		return r.opt.Units.number("_m3", v)
	}
	text := strconv.FormatFloat(v, 'g', 5, 64)
	if unit == "" {
		return text
	}
	return text + " " + unit
}
