package faulttree

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/site"
)

// bands computes a probe's limits; there are none where a fact is missing, and then missing says which.
func bands(p *knowledge.Probe, sheet *site.Sheet) (limits []float64, missing []string) {
	limits, missing = someBands(p, sheet)
	if len(missing) > 0 || slices.ContainsFunc(limits, math.IsNaN) {
		return nil, missing
	}
	return limits, nil
}

// someBands computes the limits that can be; NaN stands for one that cannot.
func someBands(p *knowledge.Probe, sheet *site.Sheet) (limits []float64, missing []string) {
	last := math.Inf(-1)
	for _, text := range p.Bands {
		f, err := site.ParseFormula(text)
		if err != nil {
			return nil, nil
		}
		v, unknown := f.Eval(sheet)
		for _, u := range unknown {
			if !slices.Contains(missing, u) {
				missing = append(missing, u)
			}
		}
		if len(unknown) > 0 || math.IsNaN(v) || math.IsInf(v, 0) || v < last {
			v = math.NaN()
		} else {
			last = v
		}
		limits = append(limits, v)
	}
	return limits, missing
}

// Classify turns a meter reading in SI into a probe's answer by the limits of the sheet; ok is false where a limit that
// would decide cannot be computed: no volts at all are none, whatever the sensor should have. A reading on the limit
// belongs to the upper answer.
func (w Walk) Classify(probe string, v float64) (answer string, ok bool) {
	if w.env == nil {
		return "", false
	}
	p := w.env.base.Probes[probe]
	if p == nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return "", false
	}
	limits, _ := someBands(p, w.env.opt.Sheet)
	k := 0
	for k < len(limits) && v >= limits[k]-1e-9*math.Abs(limits[k]) { // 0.92 x 5 V is a hair above 4.6
		k++
	}
	if len(limits) == 0 || k < len(limits) && math.IsNaN(limits[k]) {
		return "", false
	}
	return p.Answers[k], true
}

// limits are a measured probe's limits and what a good reading is, in words; or what the sheet lacks.
func (w Walk) limits(p *knowledge.Probe) (limits []float64, good string, missing []string) {
	limits, missing = bands(p, w.env.opt.Sheet)
	if len(limits) == 0 {
		return nil, "", missing
	}
	k := 0
	for i, v := range p.Usual {
		if v > p.Usual[k] {
			k = i
		}
	}
	switch {
	case k == 0:
		return limits, "below " + w.limit(p, limits, 0), nil
	case k == len(limits):
		return limits, "above " + w.limit(p, limits, k-1), nil
	}
	return limits, "between " + w.limit(p, limits, k-1) + " and " + w.limit(p, limits, k), nil
}

// limit prints one limit with where it comes from: "4.6 V (92 % of 5 V)".
func (w Walk) limit(p *knowledge.Probe, limits []float64, i int) string {
	text := Engineering(limits[i], p.Unit)
	f, err := site.ParseFormula(p.Bands[i])
	if err != nil || len(f.Paths()) == 0 {
		return text
	}
	from := "by the site sheet"
	share, path, _ := strings.Cut(f.String(), "*")
	if x, err := strconv.ParseFloat(share, 64); err == nil && x < 2 && path == f.Paths()[0] {
		v, _, _ := w.env.opt.Sheet.Lookup(path)
		from = fmt.Sprintf("%.0f %% of %s", 100*x, Engineering(v, p.Unit))
	}
	if f.Origin(w.env.opt.Sheet) == site.Assumed {
		from += ", assumed"
	}
	return text + " (" + from + ")"
}

// Engineering prints a value of an SI unit as a technician reads it: 0.0042 A is 4.2 mA.
func Engineering(v float64, unit string) string {
	for _, p := range []struct {
		from float64
		name string
	}{{1e6, "M"}, {1e3, "k"}, {1, ""}, {1e-3, "m"}, {1e-6, "u"}, {1e-9, "n"}} {
		if math.Abs(v) >= p.from*0.9995 {
			return fmt.Sprintf("%.3g %s%s", v/p.from, p.name, unit)
		}
	}
	return fmt.Sprintf("%.3g %s", v, unit)
}
