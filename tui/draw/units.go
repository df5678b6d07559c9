package draw

import (
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/tankhand/diagnostics"
)

// Units are the units a technician reads. The zero value is metric.
type Units struct {
	US bool
	// Coarse rounds, so that on a slow link unchanged lines stay the same bytes.
	Coarse bool
}

// The factors are exact by definition: inch 25.4 mm, US gallon 231 cubic inches (NIST Handbook 44,
// appendix C, from memory).
const (
	inch   = 0.0254
	gallon = 231 * inch * inch * inch
)

// Length prints metres.
func (u Units) Length(m float64) string {
	switch {
	case !known(m):
		return "unknown"
	case u.US && u.Coarse:
		return fmt.Sprintf("%.0f in", m/inch)
	case u.US:
		return fmt.Sprintf("%.1f in", m/inch)
	case u.Coarse:
		return fmt.Sprintf("%.2f m", m)
	}
	return fmt.Sprintf("%.3f m", m)
}

// Volume prints cubic metres.
func (u Units) Volume(m3 float64) string {
	switch {
	case !known(m3):
		return "volume unknown"
	case u.US:
		return fmt.Sprintf("%.0f gal", m3/gallon)
	case u.Coarse:
		return fmt.Sprintf("%.2f m3", m3)
	}
	return fmt.Sprintf("%.3f m3", m3)
}

// Flow prints cubic metres a second.
func (u Units) Flow(m3s float64) string {
	switch {
	case !known(m3s):
		return "unknown"
	case u.US:
		return fmt.Sprintf("%.1f gal/min", tenths(m3s/gallon*60))
	}
	return fmt.Sprintf("%.1f m3/h", tenths(m3s*3600))
}

// tenths rounds, and makes no flow of -0.04 a flow of -0.0.
func tenths(v float64) float64 { return math.Round(v*10)/10 + 0 }

// Percent prints a percentage.
func (u Units) Percent(p float64) string {
	if !known(p) {
		return "? %"
	}
	return fmt.Sprintf("%.0f %%", p)
}

// Clock prints a length of time as 0:42, 12:05 or 3 h 05 min.
func (u Units) Clock(d time.Duration) string {
	if u.Coarse && d > 10*time.Second {
		d = d.Truncate(10 * time.Second)
	}
	s := int(max(0, d).Seconds())
	if s >= 3600 {
		return fmt.Sprintf("%d h %02d min", s/3600, s/60%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// Figure prints one figure of a finding with its name. The unit of its value is that of its name:
// metres, cubic metres an hour, shares of one.
func (u Units) Figure(f diagnostics.Figure) (name, value string) {
	name = strings.ReplaceAll(f.Name, "_", " ")
	name = strings.ReplaceAll(name, " per h worst", " in the worst hour")
	for _, end := range []string{" m3 per h", " m per h", " per h", " m", " s", " v"} {
		name = strings.TrimSuffix(name, end)
	}
	return name, u.figure(f)
}

func (u Units) figure(f diagnostics.Figure) string {
	switch {
	case !known(f.Value):
		return "unknown"
	case f.Unit == "m3/h":
		return u.Flow(f.Value / 3600)
	case f.Unit == "m3":
		return u.Volume(f.Value)
	case f.Unit == "cm", f.Unit == "mm", f.Unit == "m":
		return u.Length(f.Value)
	case f.Unit == "1":
		return number(f.Value, 4)
	case f.Unit == "mm/h" && u.US:
		return fmt.Sprintf("%.2g in/h", f.Value/inch)
	case f.Unit == "mm/h":
		return fmt.Sprintf("%.2g mm/h", 1000*f.Value)
	case f.Unit == "1/h":
		return number(f.Value, 3) + " an hour"
	case f.Unit == "%" && (strings.HasSuffix(f.Name, "percent")):
		return u.Percent(f.Value)
	case f.Unit == "%":
		return number(100*f.Value, 3) + " %"
	}
	return strings.TrimSpace(number(f.Value, 4) + " " + f.Unit)
}

// number prints so many digits, and large numbers whole: nobody on a ladder reads 1.09e+03.
func number(v float64, digits int) string {
	if a := math.Abs(v); a >= math.Pow10(digits-1) && a < 1e9 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.*g", digits, v)
}

func known(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
