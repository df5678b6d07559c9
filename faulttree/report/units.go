package report

import (
	"math"
	"strconv"
	"strings"

	"example.org/tankhand/faulttree/visit"
)

// Units are those that the technician chose.
type Units uint8

// The unit systems.
const (
	Metric Units = iota
	US
)

// Exact by definition: 1 in = 25.4 mm (international inch, 1959), 1 US gallon = 231 cubic inches.
const (
	inch   = 0.0254
	gallon = 231 * inch * inch * inch
)

// Unknown stands where a number is not known.
const Unknown = "unknown"

// scale turns SI into the unit shown; add is for temperatures.
type scale struct {
	unit     string
	per      float64
	decimals int
}

// scales by the ending of a figure's name: metric, US.
var scales = []struct {
	suffix     string
	metric, us scale
}{
	{"_m3_per_h", scale{"m3/h", 1, 2}, scale{"gal/min", gallon * 60, 1}},
	{"_m_per_h", scale{"cm/h", 0.01, 1}, scale{"in/h", inch, 1}},
	{"_m3", scale{"m3", 1, 3}, scale{"gal", gallon, 0}},
	{"_m", scale{"m", 1, 3}, scale{"in", inch, 1}},
	{"_percent", scale{"%", 1, 0}, scale{"%", 1, 0}},
	{"_per_h", scale{"/h", 1, 1}, scale{"/h", 1, 1}},
	{"_hz", scale{"Hz", 1, 1}, scale{"Hz", 1, 1}},
	{"_fraction", scale{"%", 0.01, 1}, scale{"%", 0.01, 1}},
	{"_share", scale{"%", 0.01, 1}, scale{"%", 0.01, 1}},
	{"_s", scale{"s", 1, 1}, scale{"s", 1, 1}},
	{"_v", scale{"V", 1, 2}, scale{"V", 1, 2}},
}

// odd names the figures of the checks whose names carry no unit.
var odd = map[string]string{"dropout_low": "_fraction", "dropout_high": "_fraction", "worst_hour_fraction": "_fraction",
	"fill_low": "_m3_per_h", "fill_high": "_m3_per_h", "draw_low": "_m3_per_h", "draw_high": "_m3_per_h", "of_healthy": "_fraction",
	"starts_per_h_worst": "_per_h"}

func (u Units) scaleOf(name string) (scale, bool) {
	if o, ok := odd[name]; ok {
		name = o
	}
	for _, s := range scales {
		if strings.HasSuffix(name, s.suffix) {
			if u == US {
				return s.us, true
			}
			return s.metric, true
		}
	}
	return scale{}, false
}

// number writes a value of a figure's name with its unit.
func (u Units) number(name string, v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Unknown
	}
	s, ok := u.scaleOf(name)
	if !ok {
		return strconv.FormatFloat(v, 'g', 4, 64)
	}
	text := strconv.FormatFloat(v/s.per, 'f', s.decimals, 64)
	if text == "-0" || strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	if strings.HasPrefix(s.unit, "/") {
		return text + s.unit
	}
	return text + " " + s.unit
}

func (u Units) figure(f visit.FigureRecord) string {
	if f.Value == nil {
		return Unknown
	}
	// A length that the check speaks of in centimetres or millimetres is a small one.
	if per, small := map[string]float64{"cm": 0.01, "mm": 0.001}[f.Unit]; small && u == Metric && strings.HasSuffix(f.Name, "_m") {
		return strconv.FormatFloat(*f.Value/per, 'f', 1, 64) + " " + f.Unit
	}
	return u.number(f.Name, *f.Value)
}

func (u Units) optional(name string, v *float64) string {
	if v == nil {
		return Unknown
	}
	return u.number(name, *v)
}

// trimNumber writes a round number of an axis.
func trimNumber(v float64) string {
	return strconv.FormatFloat(math.Round(v*1e6)/1e6, 'f', -1, 64)
}
