package rig

import "math"

// meters answers the probes that are measured: a word and, where one number says it, the reading in SI at the
// resolution of a hand meter. What needs the relay called on or off is read on a copy, on which it is.
var meters = map[string]func(i *Installation) (string, float64){
	"sensor-volts": func(i *Installation) (string, float64) {
		v := volts(i.sensorVolts())
		return banded(v, []float64{0.5, 0.92 * 5}, "none", "low", "in limits")
	},
	"echo-continuity": func(i *Installation) (string, float64) {
		return nan(pick("both sound", is(i.cond.triggerOpen || i.echo.open, "open or on the wrong terminal")))
	},
	"echo-height": (*Installation).echoHeight,
	"collector-on": func(i *Installation) (string, float64) {
		c := i.calledCopy(true)
		v := volts(c.elec.collector)
		return banded(v, []float64{0.4, 0.8 * 5}, "fully on", "half on", "not on")
	},
	"collector-off": func(i *Installation) (string, float64) {
		c := i.calledCopy(false)
		v := volts(c.elec.collector)
		return banded(v, []float64{0.3 * 5, 0.9 * 5}, "near zero", "half", "at supply")
	},
	"base-current": func(i *Installation) (string, float64) {
		c := i.calledCopy(true)
		amps := 0.0
		if c.board.powered && c.board.called != c.cond.inverted {
			amps = baseAmps(c.cond.baseResistor)
		}
		return banded(amps, []float64{0.1 * 5 / 70 / 10, 0.33 * 5 / 70 / 10}, "none", "too small", "enough")
	},
	"coil-ohms": func(i *Installation) (string, float64) {
		r := math.Round(i.cond.coilOhms)
		if i.cond.coilOpen {
			r = openCircuit
		}
		return banded(r, []float64{0.85 * 70, 1.15 * 70, 20 * 70}, "too low", "as rated", "too high", "open")
	},
	"supply-sag-volts": func(i *Installation) (string, float64) {
		lowest, _ := i.sag()
		return banded(lowest, []float64{0.85 * 5, 0.95 * 5}, "deep dip", "dips", "holds up")
	},
	"supply-end-volts": func(i *Installation) (string, float64) {
		_, lowest := i.sag()
		return banded(lowest, []float64{0.95 * 5}, "dips", "holds up")
	},
	"supply-volts": func(i *Installation) (string, float64) {
		return banded(volts(i.elec.board), []float64{0.5, 0.93 * 5}, "none", "low", "in limits")
	},
	"logic-volts": func(i *Installation) (string, float64) {
		v := i.cond.logic
		if i.elec.board < 3.5 {
			v = math.Max(i.elec.board-0.3, 0)
		}
		return banded(volts(v), []float64{0.5, 0.95 * 3.3, 1.05 * 3.3}, "none", "low", "in limits", "high")
	},
	"contact-ohms":  (*Installation).contactWord,
	"motor-current": (*Installation).motorCurrent,
	"mains-volts": func(i *Installation) (string, float64) {
		c := i.calledCopy(true)
		return nan(pick("at the feed but not past the relay", is(c.cond.noMains, "none at the feed"), is(c.contactClosed(), "at both")))
	},
	"capacitor-value": func(i *Installation) (string, float64) {
		f := 11.9e-6
		if i.cond.deadCapacitor {
			f = 2.1e-6
		}
		return banded(f, []float64{0.9 * 12e-6}, "low or open", "as labelled")
	},
	"winding-ohms": func(i *Installation) (string, float64) {
		return nan(pick("sound", is(i.cond.deadWinding || i.cond.openCable, "open")))
	},
	"winding-at-pump": func(i *Installation) (string, float64) { return nan(pick("sound", is(i.cond.deadWinding, "open"))) },
	"button-volts": func(i *Installation) (string, float64) {
		return nan(pick("firm at rest level", is(i.cond.buttonHeld, "firm at pressed level"), is(i.cond.buttonFloats > 0, "in between or drifting")))
	},
	"cable-drop": func(i *Installation) (string, float64) {
		c := i.calledCopy(true)
		drop := 0.0
		if c.board.powered {
			drop = (boardAmps + c.elec.coil) * c.cond.cableOhms
		}
		return banded(math.Round(drop*1000)/1000, []float64{0.03 * 5}, "small", "too large")
	},
}

const openCircuit = 1e7 // ohm: a hand meter shows over range

func volts(v float64) float64 { return math.Round(v*100) / 100 }

// banded turns a reading into its word; limits rise, and there is one word more than limits.
func banded(v float64, limits []float64, words ...string) (string, float64) {
	for k, l := range limits {
		if v < l {
			return words[k], v
		}
	}
	return words[len(limits)], v
}

// calledCopy is a copy in which the technician has made the program call the relay, or not, and waited a second.
// A program that hangs, is locked or waits cannot be made to.
func (i *Installation) calledCopy(on bool) *Installation {
	c := i.copied()
	c.settleBoot()
	if c.obeys(on) {
		c.cond.buttonFloats, c.cond.demandHop = 0, 0
		c.command(on)
	}
	called := c.board.called
	for range int(math.Round(1 / step)) {
		if c.booted() {
			c.board.called, c.board.below, c.board.above = called, 0, 0
		}
		if c.pump.turning && c.elec.pulledIn != i.elec.pulledIn && c.board.boots != i.board.boots {
			break
		}
		c.tick()
	}
	return c
}

// settleBoot waits out a restart that is under way.
func (i *Installation) settleBoot() {
	for n := 0; i.booting() && n < int(2*bootTime/step); n++ {
		i.tick()
	}
}

// obeys tells whether the program can be made to call the relay on or off just now.
func (i *Installation) obeys(on bool) bool {
	b, c := &i.board, &i.cond
	if !i.booted() || b.hung || c.noProgram || c.strapped || c.busStuck || c.hangsOn && b.called {
		return false
	}
	return !on || !(b.manual || i.waits() > 0)
}

// sag is the deepest dip at board and supply as the relay pulls in.
func (i *Installation) sag() (board, supply float64) {
	if !i.board.powered {
		return volts(i.elec.board), volts(i.elec.supply)
	}
	c := i.copied()
	c.settleBoot()
	c.cond.buttonFloats, c.cond.demandHop = 0, 0
	c.command(false)
	for range int(math.Round(0.5 / step)) {
		c.tick()
	}
	board, supply = c.elec.board, c.elec.supply
	boots := c.board.boots
	for range int(math.Round(0.3 / step)) {
		if c.board.boots == boots {
			c.board.called = true
		}
		c.tick()
		board, supply = math.Min(board, c.elec.board), math.Min(supply, c.elec.supply)
		board, supply = math.Min(board, c.elec.lowest), math.Min(supply, c.elec.lowestSupply)
	}
	return volts(board), volts(supply)
}

// echoHeight at the input: the divider makes 3.33 V of the sensor's 5.
func (i *Installation) echoHeight() (string, float64) {
	c := &i.cond
	v := math.Min(i.sensorVolts(), 5) * 2 / 3
	if c.noDivider {
		v = math.Min(i.sensorVolts(), 5)
	}
	if c.triggerOpen || c.sensorOff || i.echo.open || i.sensorVolts() < 3.2 || c.fogged && c.lossDB > 22 {
		v = 0
	}
	return banded(volts(v), []float64{0.75 * 3.3, 1.1 * 3.3}, "none or too low", "inside the input rating", "above the rating")
}

func (i *Installation) contactWord() (string, float64) {
	off, on := i.calledCopy(false).contactClosed(), i.calledCopy(true).contactClosed()
	return nan(pick("opens and closes", is(off && on, "never opens"), is(!off && !on, "never closes"), is(off && !on, "works the wrong way round")))
}

// motorCurrent with the pump called on anew and given half a minute to show what it does.
func (i *Installation) motorCurrent() (string, float64) {
	c := i.calledCopy(false).calledCopy(true)
	for range int(math.Round(25 / step)) {
		called := c.board.called
		c.tick()
		if c.booted() {
			c.board.called = called
		}
	}
	amps := math.Round(c.pump.current*100) / 100
	return banded(amps, []float64{0.05 * runningAmps, 0.8 * runningAmps, 1.3 * runningAmps}, "none", "low", "near the recorded value", "high")
}
