package draw

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
)

// metric finds quantities in sentences, the longer units first so that m3/h is not taken for m.
var metric = regexp.MustCompile(`(-?\d+(?:\.\d+)?) (m3/h|l/min|mm/h|m/s|mm|cm|m3|m|l|degC)(\W|$)`)

// customary says for each unit how to print its quantities for a reader of US customary units. A number
// keeps about as many digits as it had.
var customary = map[string]struct {
	unit       string
	times, add float64
}{
	"mm": {"in", 1 / (1000 * inch), 0}, "cm": {"in", 1 / (100 * inch), 0}, "m": {"in", 1 / inch, 0}, "mm/h": {"in/h", 1 / (1000 * inch), 0},
	"m/s": {"ft/s", 1 / (12 * inch), 0}, "m3": {"gal", 1 / gallon, 0}, "l": {"gal", 0.001 / gallon, 0},
	"m3/h": {"gal/min", 1 / gallon / 60, 0}, "l/min": {"gal/min", 0.001 / gallon, 0}, "degC": {"degF", 1.8, 32},
}

// Phrase puts the quantities of a sentence into the technician's units; the checks write in metric.
func (u Units) Phrase(s string) string {
	if !u.US {
		return s
	}
	return metric.ReplaceAllStringFunc(s, func(m string) string {
		part := metric.FindStringSubmatch(m)
		v, err := strconv.ParseFloat(part[1], 64)
		if err != nil {
			return m
		}
		to := customary[part[2]]
		return fmt.Sprintf("%s %s%s", plainNumber(v*to.times+to.add), to.unit, part[3])
	})
}

// plainNumber keeps three digits and no exponent.
func plainNumber(v float64) string {
	if v == 0 {
		return "0"
	}
	places := max(0, min(4, 2-int(math.Floor(math.Log10(math.Abs(v))))))
	return strconv.FormatFloat(v, 'f', places, 64)
}
