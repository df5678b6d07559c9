package rig

import "math"

// looks answers the probes that are looked at or asked, from the state as it is.
var looks = map[string]func(i *Installation) string{
	"sensor-face": func(i *Installation) string {
		return pick("dry and clean", is(i.cond.web > 0, "web or object"), is(i.cond.faceDB > 0 || i.cond.fogged, "wet or dirty"))
	},
	"sensor-seat": func(i *Installation) string {
		c := &i.cond
		return pick("square and clear", is(c.tilt > 0.1, "leans"), is(c.nozzle, "deep in a nozzle"), is(c.nearWall, "close to wall or fittings"))
	},
	"water-surface": func(i *Installation) string {
		c := &i.cond
		return pick("calm", is(c.foam > 0, "foam or scum"), is(c.stream > 0, "inlet falls under the sensor"), is(c.waves+c.inletWaves > 0.009, "waves"))
	},
	"face-gap": func(i *Installation) string {
		gap := faceHeight - i.cond.sunk - i.water.level
		return pick("clear of it", is(gap < blankingDist, "inside it"), is(gap > i.cond.hears, "beyond the sensor's range"))
	},
	"divider-look": func(i *Installation) string { return pick("fitted or not needed", is(i.cond.noDivider, "missing")) },
	"terminals-look": func(i *Installation) string {
		return pick("as drawn", is(i.cond.wrongTerminal, "differs"), is(i.cond.loose > 0, "loose or corroded"))
	},
	"joint-look": func(i *Installation) string {
		return pick("dry and bright", is(i.cond.damp > 0, "wet"), is(i.cond.loose > 0, "loose or green"))
	},
	"two-sensors": func(i *Installation) string { return pick("no", is(i.cond.otherSensor, "yes")) },
	"source-look": func(i *Installation) string { return pick("yes", is(i.cond.sourceLow, "no")) },
	"valves-look": func(i *Installation) string {
		return pick("open and dry", is(i.cond.shut || i.cond.pipeLoss > 0, "a valve is shut"), is(i.cond.burst, "water escapes"))
	},
	"strainer-look": func(i *Installation) string { return pick("clean", is(i.cond.suctionLoss > 0, "blocked")) },
	"prime-look":    func(i *Installation) string { return pick("full", is(i.pump.air > 0, "air or empty")) },
	"diode-look": func(i *Installation) string {
		return pick("right", is(i.cond.noDiode, "missing"), is(i.cond.diodeReversed, "wrong way round"))
	},
	"coil-label":    func(i *Installation) string { return pick("same", is(i.cond.coilVolts != 5, "differs")) },
	"contact-label": func(i *Installation) string { return pick("ample", is(i.cond.sticky, "too small")) },
	"cable-look": func(i *Installation) string {
		return pick("enough", is(i.cond.cableOhms > 1.5*healthy().cableOhms, "too thin or too long"))
	},
	"display-look": (*Installation).display,
	"reset-cause-look": func(i *Installation) string {
		return pick("not given", is(i.board.cause == "power-on" || i.board.cause == "brown-out", "power or brown-out"),
			is(i.board.cause == "watchdog", "watchdog or program fault"), is(i.board.cause == "external", "reset line or port"))
	},
	"lamp-look": (*Installation).lamp,
	"trip-look": func(i *Installation) string {
		return pick("all on", is(i.cond.noMains, "breaker or fuse off"), is(i.pump.tripped, "overload tripped"))
	},
	"shape-look": func(i *Installation) string { return pick("match", is(i.cond.volumeFactor != 1, "differ")) },
	"settings-look": func(i *Installation) string {
		return pick("same", is(i.cond.wrongKind, "sensor kind differs"), is(i.cond.mixedUnits, "unit or scale differs"))
	},
	"outlet-look": func(i *Installation) string {
		low := faceHeight - i.cond.empty + i.cond.low/100*(i.cond.empty-i.cond.full)
		return pick("above the outlet", is(low <= i.cond.outlet, "at or below it"))
	},
	"overflow-look": func(i *Installation) string {
		full := faceHeight - i.cond.sunk - i.cond.empty + i.cond.fullSet/100*(i.cond.empty-i.cond.full)
		return pick("below", is(full >= i.cond.overflow, "at or over it"))
	},
	"delay-look":   func(i *Installation) string { return pick("no", is(i.waits() > 0, "yes")) },
	"pump-called":  (*Installation).calls,
	"other-inlets": func(i *Installation) string { return pick("no", is(i.otherInflow() > 0, "yes")) },
	"pump-look": func(i *Installation) string {
		return pick("stands still", is(i.pump.turning, "runs"), is(i.pump.humming, "hums"))
	},
	"shaft-turn": func(i *Installation) string { return pick("turns freely", is(i.cond.jammed, "stiff or stuck")) },
	"bracket-look": func(i *Installation) string {
		return pick("as recorded", is(math.Abs(i.cond.sunk) > 0.01, "has moved"))
	},
	"dry-guard":    func(i *Installation) string { return pick("on and quick enough", is(i.cond.noGuard, "off or slow")) },
	"bubbles-look": (*Installation).bubbles,
	"when-bad":     (*Installation).customerSays,
}

// calls watches the display for two seconds after a restart that is under way.
func (i *Installation) calls() string {
	c := i.copied()
	c.settleBoot()
	for range 20 {
		if c.board.called {
			return "called"
		}
		c.play(0.1)
	}
	return "not called"
}

// option is a word that holds or not.
type option struct {
	holds bool
	word  string
}

func is(holds bool, word string) option { return option{holds, word} }

// pick is the first word that holds, else the usual one.
func pick(usual string, options ...option) string {
	for _, o := range options {
		if o.holds {
			return o.word
		}
	}
	return usual
}

func (i *Installation) display() string {
	c := &i.cond
	blank := c.noProgram || c.strapped || c.busStuck || c.displayDark || c.loops > 0 || i.board.hung
	return pick("text", is(!i.board.powered, "dark"), is(blank, "lit but blank"))
}

// lamp flickers when the supply dips far enough to see, which it does with each start of relay or pump.
func (i *Installation) lamp() string {
	sags := i.elec.lowest < brownOut && (i.cond.surge > 0.2 || i.cond.psuOhms > 0.5 || i.cond.diodeReversed)
	return pick("steady", is(!i.board.powered, "off"), is(sags, "flickers"))
}

// customerSays is what the customer and the record tell about when it is bad; "always" unless the cause has a story.
func (i *Installation) customerSays() string {
	for k := range i.faults {
		if w := story[i.faults[k].ID]; w != "" && !i.faults[k].mended {
			return w
		}
	}
	return "always"
}

// story is the circumstances of a cause; an invented customer's account, not physics.
var story = stories(map[string][]string{
	"at night or dawn":         {"face-wet", "temp-comp"},
	"after rain or storm":      {"joint-wet", "second-inflow"},
	"after a power cut":        {"marks-lost", "mains-interrupted"},
	"only while the pump runs": {"inlet-stream", "pump-noise", "waves", "mains-dip", "thermal-trip", "serial-noise"},
	"after work on site": {"trigger-open", "echo-5v", "clock-scale", "unit-mixup", "sensor-moved", "sensor-type", "full-above-overflow",
		"low-set-unreachable", "mode-manual", "coil-wrong", "diode-reversed", "relay-nc", "relay-inverted", "valve-closed", "boot-strap", "tx-rx"},
})

func stories(by map[string][]string) map[string]string {
	out := map[string]string{}
	for word, ids := range by {
		for _, id := range ids {
			out[id] = word
		}
	}
	return out
}

func nan(word string) (string, float64) { return word, math.NaN() }

func (i *Installation) bubbles() string {
	c := i.calledCopy(true)
	c.play(40)
	t := c.play(10)
	none := t.flowed/10 < 0.1*perHour || c.cond.burst
	return pick("solid flow", is(none, "no flow"), is(c.cond.airLeak > 0, "spits or bubbles"))
}
