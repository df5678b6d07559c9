package faulttree

import (
	"slices"

	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/site"
)

// hazardTexts are the cautions, the usual ones of the trade; local codes and licensed practice win
// over every one of them.
var hazardTexts = map[string]string{
	"elv":            "Extra-low voltage only. Take care not to short neighbouring terminals with the probe.",
	"height":         "Work at height: a tied ladder or a platform, three points of contact, nobody below. Not in wind or lightning.",
	"drinking-water": "Drinking water: clean hands and tools, nothing may fall in. Close the hatch again. Follow the local water rules.",
	"mains-dead":     "Mains enclosure: isolate, lock out, prove dead with a tester proved before and after. Only who may by local code; else a licensed electrician.",
	"mains-live":     "LIVE MAINS: only a person licensed for live work, with insulated tools and protection, never alone. Everybody else skips this.",
	"rotating":       "Rotating parts: isolated and locked out before a hand goes near; guards back on before it runs.",
	"running-pump":   "A pump will run or may start by itself: nobody at it, guards on, a hand on the isolator.",
	"capacitor":      "A capacitor holds its charge after isolation: discharge it through a resistor, measure 0 V, then touch.",
	"dry-run":        "A pump without water destroys its seal: stop at 60 s without rise.",
	"tank-entry":     "Tank entry can kill: confined space, only with permit, gas test, ventilation, rescue at hand, as local law asks. Do not enter otherwise.",
	"lid":            "Opening the lid is work near mains (the site sheet does not rule it out): isolate, lock out, prove dead first. Local codes and licensed practice win.",
	"pump-held":      "Hold the pump first: isolate it or put it in manual with the pump off. A faked level or a restart may call it.",
	"isolated":       "Pump circuit isolated, locked out and proved dead before you begin.",
}

// minded tells whether the mains must be reckoned with in the controller's box; unknown counts as yes.
func minded(sheet *site.Sheet) bool { return sheet == nil || sheet.Controller.MainsInBox != "no" }

// hazardsOf are a probe's hazards; an opened lid near mains adds mains-dead.
func hazardsOf(p *knowledge.Probe, sheet *site.Sheet) []string {
	h := p.Hazards
	if slices.Contains(p.Needs, "lid") && minded(sheet) && !slices.Contains(h, "mains-dead") {
		h = append(slices.Clone(h), "mains-dead")
	}
	return h
}

// probeCautions are all cautions of a probe, its own text first.
func probeCautions(p *knowledge.Probe, sheet *site.Sheet) []Caution {
	var out []Caution
	if p.Caution != "" {
		out = append(out, Caution{"step", p.Caution})
	}
	lid := slices.Contains(p.Needs, "lid") && minded(sheet)
	if lid && !slices.Contains(p.Hazards, "mains-dead") {
		out = append(out, Caution{"mains-dead", hazardTexts["lid"]})
	}
	for _, n := range []string{"isolated", "pump-held"} {
		if slices.Contains(p.Needs, n) {
			out = append(out, Caution{n, hazardTexts[n]})
		}
	}
	return append(out, hazardCautions(p.Hazards)...)
}

func hazardCautions(hazards []string) (out []Caution) {
	for _, h := range hazards {
		if t := hazardTexts[h]; t != "" {
			out = append(out, Caution{h, t})
		}
	}
	return out
}

// needWords say what to have in hand or to set up.
var needWords = map[string]string{"lid": "screwdriver for the lid", "top": "way to the tank top", "isolated": "lock and voltage tester",
	"pump-held": "pump held", "meter": "multimeter", "clamp": "current clamp", "fast-hold": "meter with 1 ms minimum hold, or a scope",
	"scope": "pocket scope or peak-hold meter", "insulation-tester": "500 V insulation tester", "override": "fitted override switch",
	"water": "water and a measure", "spare-sensor": "known-good sensor", "feed": "the feed"}

func have(needs []string) (out []string) {
	for _, n := range needs {
		if w := needWords[n]; w != "" && n != "feed" {
			out = append(out, w)
		}
	}
	return out
}
