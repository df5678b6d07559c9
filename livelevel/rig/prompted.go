package rig

import "math"

// prompts answers the probes in which something is done: it is done on a copy, and the copy is watched.
var prompts = map[string]func(i *Installation) string{
	"board-test": (*Installation).boardTest,
	"face-wipe":  func(i *Installation) string { return pick("no change", is(i.relieved("face-wipe", 2, 60), "clears")) },
	"sensor-rock": func(i *Installation) string {
		return pick("no change", is(i.relieved("sensor-rock", 2, 15), "one way is clearly better"))
	},
	"relay-unplug": func(i *Installation) string {
		return pick("trouble stays", is(i.relieved("relay-unplug", 6, 170), "trouble stops"))
	},
	"pump-isolated": func(i *Installation) string {
		return pick("trouble stays", is(i.relieved("pump-isolated", 20, 270), "trouble stops"))
	},
	"start-button": (*Installation).startButton,
	"override-run": (*Installation).overrideRun,
	"other-sensor-off": func(i *Installation) string {
		return pick("no change", is(i.relieved("other-sensor-off", 1, 55), "clears"))
	},
	"inlet-stop": func(i *Installation) string {
		return pick("no change", is(i.relieved("inlet-stop", 60, 115), "clears"))
	},
	"slow-ping":   func(i *Installation) string { return pick("no change", is(i.relieved("slow-ping", 1, 55), "clears")) },
	"swap-sensor": (*Installation).swapSensor,
	"reboot":      (*Installation).rebootClicks,
	"other-lead": func(i *Installation) string {
		return pick("still nothing", is(i.cond.garble > 0 || i.cond.refusal == "no-port", "feed appears"))
	},
	"try-speeds": func(i *Installation) string {
		c := &i.cond
		return pick("none reads", is(i.feeds() && !c.deaf && !c.otherPort && c.refusal == "" && c.garble == 0, "one reads clean"))
	},
	"quiet-open": func(i *Installation) string { return pick("no better", is(i.cond.resetsOnOpen, "stays up")) },
	"other-port": func(i *Installation) string { return pick("still nothing", is(i.cond.otherPort, "feed appears")) },
	"ask-feed": func(i *Installation) string {
		return pick("still nothing", is(i.cond.quiet && i.feeds(), "lines come"))
	},
	"bare-board": (*Installation).bareBoard,
	"no-display": func(i *Installation) string { return pick("no better", is(i.cond.busStuck, "feed appears")) },
	"cable-wiggle": func(i *Installation) string {
		return pick("nothing moves it", is(i.cond.loose > 0, "reading drops or jumps"))
	},
	"bucket-test": (*Installation).bucketTest,
	"relay-lead-off": func(i *Installation) string {
		if !i.pump.powered {
			return "pump was not running"
		}
		c := i.copied()
		_ = c.Do("relay-lead-off")
		c.play(3)
		return pick("pump stops", is(c.pump.powered, "pump runs on"))
	},
	"control-cycle": (*Installation).controlCycle,
	"dip-check":     (*Installation).dipCheck,
	"full-stop":     (*Installation).fullStop,
	"auto-start":    (*Installation).autoStart,
	"sensor-unplug": (*Installation).sensorUnplug,
	"demand-off": func(i *Installation) string {
		return pick("trouble stays", is(i.cond.demandHop > 0 && i.relieved("demand-off", 2, 300), "trouble stops"))
	},
	"outlets-shut":        func(i *Installation) string { return i.stillFalls("outlets-shut") },
	"delivery-valve-shut": func(i *Installation) string { return i.stillFalls("delivery-valve-shut") },
	"command-alive": func(i *Installation) string {
		c := i.copied()
		t := c.play(30)
		alive := t.ran > 15 && !c.cond.noProgram && !c.cond.strapped && !c.cond.busStuck && !i.frozen() && c.cond.loops == 0
		return pick("dead", is(alive, "answers"))
	},
	"how-long-well": (*Installation).howLongWell,
}

// feeds tells whether the program prints at all.
func (i *Installation) feeds() bool {
	c := i.copied()
	c.cond.quiet = false
	for k := range c.faults {
		if c.faults[k].ID == "feed-off" {
			c.faults[k].mended = true
		}
	}
	t := c.play(10)
	return t.reports > 0
}

// frozen is a program that hangs with its outputs as they were.
func (i *Installation) frozen() bool {
	return i.cond.hangsOn && i.board.called && i.now-i.board.lastOn > 8
}

func (i *Installation) boardTest() string {
	c := i.copied()
	_ = c.Do("board-test")
	c.play(1)
	t := c.play(18)
	right := math.Abs(median(t.distances)-0.5) < 0.015
	return pick("steady but wrong", is(t.lostShare() > 0.5, "no echo"), is(t.lostShare() > 0.08 || t.jumpShare() > 0.02, "jumps"), is(right, "steady and right"))
}

func (i *Installation) swapSensor() string {
	c := i.copied()
	_ = c.Do("swap-sensor")
	c.play(2)
	t := c.play(50)
	good := t.lostShare() < 0.05 && t.jumpShare() < 0.015 && t.restarts == 0 && math.Abs(median(t.distances)-1) < 0.07
	return pick("same trouble", is(good, "good reading"))
}

// startButton presses start, with the pump stopped before.
func (i *Installation) startButton() string {
	c := i.copied()
	c.settleBoot()
	if !c.booted() {
		return "no click"
	}
	if c.board.called {
		c.command(false)
		c.board.lastStop = math.Min(c.board.lastStop, -c.cond.minOff)
	}
	c.play(0.1)
	was := c.elec.pulledIn
	_ = c.Do("start-button")
	var clicked, runs, hums bool
	for range 10 {
		c.play(step)
		clicked = clicked || c.elec.pulledIn && !was && !c.cond.welded
		runs, hums = runs || c.pump.turning, hums || c.pump.humming
	}
	return pick("relay clicks and pump silent", is(!clicked, "no click"), is(runs, "relay clicks and pump runs"), is(hums, "relay clicks and pump hums"))
}

func (i *Installation) overrideRun() string {
	c := i.copied()
	_ = c.Do("override-run")
	c.play(20)
	t := c.play(9)
	delivers := t.flowed/9 > 0.5*perHour && !c.cond.burst
	return pick("runs without water", is(c.pump.humming, "hums"), is(!c.pump.turning, "dead"), is(delivers, "runs and delivers"))
}

// rebootClicks listens to the relay until the program begins, with the pump held.
func (i *Installation) rebootClicks() string {
	if !i.board.powered {
		return pick("relay stays quiet", is(i.cond.shorted && i.elec.board > 0, "relay clicks"))
	}
	c := i.copied()
	c.tests = append(c.tests, test{"held", c.now, c.now + 10, isolated})
	c.recompute()
	c.restart("power-on")
	c.elec.pulledIn = false // it was off
	n := c.elec.operations
	c.play(bootTime - 0.1)
	return pick("relay stays quiet", is(c.elec.operations > n, "relay clicks"))
}

func (i *Installation) bareBoard() string {
	c := i.copied()
	_ = c.Do("bare-board")
	c.powerCycle()
	c.play(5)
	t := c.play(50)
	return pick("no better", is(t.restarts == 0 && t.reports > 100 && !c.cond.displayDark, "stays up"))
}

// bucketTest adds 5 cm and compares the change of the controller's percent and volume with the dip stick's.
func (i *Installation) bucketTest() string {
	c := i.copied()
	c.tests = append(c.tests, test{"held", c.now, c.now + 60, isolated})
	c.recompute()
	before, level := c.play(10), c.water.level
	c.pour(0.05)
	c.play(2)
	after := c.play(10)
	rise := c.water.level - level
	want := 100 * rise / (emptyMark - fullMark)
	got := (median(after.percents) - median(before.percents)) / want
	litres := (median(after.volumes) - median(before.volumes)) / (c.tank.volume(level+rise) - c.tank.volume(level))
	fits := math.Abs(got-1) < 0.12 && math.Abs(litres-1) < 0.12
	return pick("wrong amount", is(fits, "as expected"), is(got < -0.3, "wrong way"), is(math.Abs(got) < 0.1, "no change"))
}

// controlCycle holds a board at low set and at full, then unplugs the sensor, and watches the relay.
func (i *Installation) controlCycle() string {
	c := i.copied()
	_ = c.Do("control-cycle")
	low := c.shareIn(cycleStage) > 0.05
	c.play(cycleStage / 2)
	full := c.shareIn(cycleStage/2) > 0.45
	c.play(1)
	lost := c.shareIn(cycleLost-5) > 0.5
	return pick("right", is(!low && full, "wrong way round"), is(!low, "never pulls in"), is(full, "never drops out"),
		is(lost || i.onLostEcho() != "holds", "wrong on a lost echo"))
}

// shareIn plays on and is the share of the time in which the relay was pulled in.
func (i *Installation) shareIn(seconds float64) float64 {
	in, n := 0, int(math.Round(seconds/step))
	for range n {
		i.play(step)
		if i.elec.pulledIn {
			in++
		}
	}
	return float64(in) / float64(n)
}

// onLostEcho is what the program does with the relay off, and with it on.
func (i *Installation) onLostEcho() string {
	does := "holds"
	for _, on := range []bool{false, true} {
		c := i.calledCopy(on)
		was := c.board.called
		_ = c.Do("sensor-unplug")
		c.play(30)
		if c.board.called && !was {
			does = "calls the pump"
		} else if !c.board.called && was && c.board.boots == i.board.boots {
			does = "stops the pump"
		}
	}
	return does
}

func (i *Installation) sensorUnplug() string { return i.onLostEcho() }
