package report

import (
	"math"
	"strconv"
	"strings"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/quantity"
)

// Units are those that the technician chose.
type Units = quantity.System

// The unit systems.
const (
	Metric = quantity.Metric
	US     = quantity.US
)

// Unknown stands where a number is not known.
const Unknown = "unknown"

// kinds say by the ending of a figure's name what it counts, and how much SI one of it is.
var kinds = []struct {
	suffix string
	dim    quantity.Dim
	si     float64
}{
	{"_m3_per_h", quantity.Flow, 1.0 / 3600}, {"_m_per_h", quantity.Speed, 1.0 / 3600}, {"_m3", quantity.Volume, 1}, {"_m", quantity.Length, 1},
	{"_percent", quantity.Ratio, 0.01}, {"_fraction", quantity.Ratio, 1}, {"_share", quantity.Ratio, 1}, {"_per_h", quantity.Frequency, 1.0 / 3600},
	{"_hz", quantity.Frequency, 1}, {"_s", quantity.Time, 1}, {"_v", quantity.Voltage, 1}, {"_a", quantity.Current, 1},
}

// odd names the figures of the checks whose names carry no unit.
var odd = map[string]string{"dropout_low": "_fraction", "dropout_high": "_fraction", "fill_low": "_m3_per_h", "fill_high": "_m3_per_h",
	"draw_low": "_m3_per_h", "draw_high": "_m3_per_h", "of_healthy": "_fraction", "starts_per_h_worst": "_per_h"}

// asQuantity gives a figure its dimension; ok is false for a plain count.
func asQuantity(name string, v float64) (q quantity.Quantity, ok bool) {
	if o, found := odd[name]; found {
		name = o
	}
	for _, k := range kinds {
		if strings.HasSuffix(name, k.suffix) {
			return quantity.Of(v*k.si, k.dim), true
		}
	}
	return quantity.Quantity{}, false
}

// number writes a value of a figure's name with its unit.
func number(u Units, name string, v float64) string {
	q, ok := asQuantity(name, v)
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return Unknown
	case !ok:
		return strconv.FormatFloat(v, 'g', 4, 64)
	case q.Dim == quantity.Frequency && strings.HasSuffix(name, "per_h") || name == "starts_per_h_worst":
		return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) + "/h" // a rate of events, never hertz
	case q.Dim == quantity.Ratio:
		return strconv.FormatFloat(math.Round(q.V*1000)/10, 'f', -1, 64) + " %"
	}
	return quantity.Format(q, u)
}

func figureText(u Units, f visit.FigureRecord) string {
	if f.Value == nil {
		return Unknown
	}
	return number(u, f.Name, *f.Value)
}

// series writes values of one figure in one unit, that of the largest: "2.4, 2.1, 1.7 m3/h".
func series(u Units, name string, values []float64) string {
	largest := 0.0
	for _, v := range values {
		largest = math.Max(largest, math.Abs(v))
	}
	unit, per := "", 1.0
	q, ok := asQuantity(name, largest)
	switch {
	case !ok:
	case q.Dim == quantity.Frequency:
		unit, per = "/h", 1
	default:
		chosen := quantity.UnitFor(q.V, q.Dim, u)
		_, perSI := q, 1.0
		if largest > 0 {
			perSI = q.V / largest
		}
		unit, per = " "+chosen.Symbol, chosen.SI(1)/perSI
	}
	var out []string
	for _, v := range values {
		out = append(out, significant(v/per))
	}
	return strings.Join(out, ", ") + unit
}

// significant writes three significant digits, without an exponent where one can do without.
func significant(v float64) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	if err != nil || math.Abs(v) > 1e12 {
		return strconv.FormatFloat(v, 'g', 3, 64)
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

// trimNumber writes a round number of an axis.
func trimNumber(v float64) string {
	return strconv.FormatFloat(math.Round(v*1e6)/1e6, 'f', -1, 64)
}
