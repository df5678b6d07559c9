package diagnostics

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
)

// deskChecks are the desk checks in the order in which they are shown.
var deskChecks = []struct {
	id  string
	run func(*desk, *site.Sheet)
}{
	{"beam-clearance", beamClearance}, {"blanking-margin", blankingMargin}, {"range-margin", rangeMargin},
	{"ping-interval", pingInterval}, {"temperature-effect", temperatureEffect}, {"relay-drive", relayDrive},
	{"contact-rating", contactRating}, {"diode", flybackDiode}, {"cable-drop", cableDrop}, {"supply-budget", supplyBudget},
	{"echo-divider", echoDivider}, {"pull-ups", pullUps}, {"pump-cycle", pumpCycle}, {"suction-lift", suctionLift},
	{"marks-sane", marksSane},
}

// Desk returns the findings of the desk checks of a sheet, always in one order. A check that lacks a
// fact cannot tell, and says which fact and how to find it. The words are in metric units.
func Desk(sheet *site.Sheet) []Finding { return DeskIn(sheet, quantity.Metric) }

// DeskIn is Desk with its words in the technician's units; the figures stay SI.
func DeskIn(sheet *site.Sheet, units quantity.System) []Finding {
	if sheet == nil {
		sheet = &site.Sheet{}
	}
	out := make([]Finding, 0, len(deskChecks))
	for _, c := range deskChecks {
		d := &desk{f: Finding{Check: c.id}, units: units}
		c.run(d, sheet)
		out = append(out, d.finding())
	}
	return out
}

// desk gathers one finding: the facts used, those missing, and what was made of them.
type desk struct {
	f       Finding
	used    []string
	missing []string
	decided bool
	units   quantity.System
}

// need takes a fact that the check cannot do without; how says how to find it.
func (d *desk) need(path string, f site.Fact, how string) float64 {
	if !f.Known() || math.IsNaN(f.V) || math.IsInf(f.V, 0) {
		d.lacks(path, how)
		return math.NaN()
	}
	return d.use(path, f)
}

// use takes a fact that may be missing: NaN then.
func (d *desk) use(path string, f site.Fact) float64 {
	if !f.Known() {
		return math.NaN()
	}
	text := fmt.Sprintf("%s %s (%s)", path, quantity.Format(f.Quantity, d.units), f.Origin)
	if !slices.Contains(d.used, text) {
		d.used = append(d.used, text)
	}
	return f.V
}

func (d *desk) lacks(path, how string) {
	if text := path + ": " + how; !slices.Contains(d.missing, text) {
		d.missing = append(d.missing, text)
	}
}

// short is true when a needed fact is missing.
func (d *desk) short() bool { return len(d.missing) > 0 }

// paths are the facts that are missing.
func (d *desk) paths() []string {
	var out []string
	for _, m := range d.missing {
		path, _, _ := strings.Cut(m, ":")
		out = append(out, path)
	}
	return out
}

func (d *desk) figure(name string, v float64, unit string) {
	d.f.Figures = append(d.f.Figures, Figure{Name: name, Value: v, Unit: unit})
}

// limit sets the limit and where it comes from.
func (d *desk) limit(source, format string, args ...any) {
	d.f.Source, d.f.Limit = source, fmt.Sprintf(format, args...)
}

func (d *desk) verdict(pass bool, why string, args ...any) {
	d.decided = true
	d.f.Verdict = Fail
	if pass {
		d.f.Verdict = Pass
	}
	d.f.Why = fmt.Sprintf(why, args...)
}

func (d *desk) change(format string, args ...any) { d.f.Change = fmt.Sprintf(format, args...) }

func (d *desk) finding() Finding {
	d.f.Missing = strings.Join(d.missing, "; ")
	if !d.decided {
		d.f.Verdict = CannotTell
		if d.f.Why == "" {
			d.f.Why = "the site sheet does not say " + strings.Join(d.paths(), ", ")
		}
	}
	if len(d.used) > 0 && d.f.Limit != "" {
		d.f.Limit += "; from " + strings.Join(d.used, ", ")
	}
	return d.f
}

// metres prints a length for people.
func (d *desk) metres(v float64) string { return d.show(v, quantity.Length) }

func (d *desk) show(v float64, dim quantity.Dim) string {
	return quantity.Format(quantity.Of(v, dim), d.units)
}
