package rig

import (
	"fmt"
	"time"
)

// test is what a technician does to the installation for a while; it is put back by itself.
type test struct {
	id          string
	from, until float64
	effect      func(c *conditions)
}

// action is what doing a prompted probe does: something at once, or conditions for a while, or both.
type action struct {
	now   func(i *Installation)
	steps []stage
	plan  func(i *Installation) []stage // steps that depend on the site sheet
}

// stage is one part of a test; a probe may have several, one after the other.
type stage struct {
	lasts  float64 // s
	effect func(c *conditions)
}

func while(seconds float64, effect func(c *conditions)) action {
	return action{steps: []stage{{seconds, effect}}}
}

// Do carries out what a technician does: the remedy of a cause, or the action of a prompted probe, which
// is put back by itself after the probe's time. A remedy of a cause that is not there changes nothing.
func (i *Installation) Do(id string) error {
	i.mu.Lock()
	defer i.mu.Unlock()
	if _, ok := catalogue[id]; ok {
		i.mend(id)
		return nil
	}
	a, ok := actions[id]
	if !ok {
		return fmt.Errorf("doing %q on the practice rig: it is neither a cause that can be mended nor a probe with something to do", id)
	}
	steps, from := a.steps, i.now
	if a.plan != nil {
		steps = a.plan(i)
	}
	for _, s := range steps {
		i.tests = append(i.tests, test{id, from, from + s.lasts, s.effect})
		from += s.lasts
	}
	i.recompute()
	if a.now != nil {
		a.now(i)
	}
	return nil
}

// mend takes the fault out, with the state that it left behind: prime, overload, a program that stopped.
func (i *Installation) mend(id string) {
	stopped := i.board.hung || i.cond.noProgram || i.cond.strapped || i.cond.hangsOn || i.cond.busStuck
	for k := range i.faults {
		if i.faults[k].ID == id {
			i.faults[k].mended, i.faults[k].present = true, false
		}
	}
	i.recompute()
	i.pump.air, i.pump.source = 0, sourceHolds
	i.pump.tripped, i.pump.heat, i.pump.guarded, i.pump.light = false, 0, false, 0
	i.elec.stuckUntil = 0
	if stopped && i.board.powered {
		i.restart("power-on")
	}
}

// endTests drops what is over and tells whether a stage began or ended since the last step.
func (i *Installation) endTests() bool {
	changed := false
	kept := i.tests[:0]
	for _, t := range i.tests {
		if begins := t.from > i.now-step && t.from <= i.now; begins {
			changed = true
		}
		if i.now < t.until {
			kept = append(kept, t)
		}
	}
	changed = changed || len(kept) != len(i.tests)
	i.tests = kept
	return changed
}

// tested tells whether a test is under way.
func (i *Installation) tested(id string) bool {
	for _, t := range i.tests {
		if t.id == id && t.from <= i.now {
			return true
		}
	}
	return false
}

func heldAt(distance float64) func(c *conditions) {
	return func(c *conditions) { c.board50 = distance }
}
func isolated(c *conditions)  { c.isolated = true }
func sensorOut(c *conditions) { c.sensorOff = true }
func leadOff(c *conditions)   { c.leadOff = true }

// actions are the prompted probes in which something is done to the installation.
var actions = map[string]action{
	"board-test":     while(20, heldAt(0.50)),
	"face-wipe":      while(900, func(c *conditions) { c.faceDB, c.web = 0, 0 }), // what made it wet makes it wet again
	"sensor-rock":    while(20, func(c *conditions) { c.tilt, c.nearWall, c.fixed = 0, false, [4]target{} }),
	"relay-unplug":   while(180, leadOff),
	"relay-lead-off": while(20, leadOff),
	"pump-isolated":  while(300, isolated),
	"start-button":   {now: (*Installation).pressStart},
	"override-run":   while(30, func(c *conditions) { c.override = true }),
	"other-sensor-off": while(60, func(c *conditions) {
		if c.otherSensor {
			c.cross = 0
		}
	}),
	"inlet-stop":    while(180, func(c *conditions) { c.isolated, c.inflow = true, 0 }),
	"slow-ping":     while(60, func(c *conditions) { c.pingEvery = 0.2 }),
	"swap-sensor":   while(90, spareSensor),
	"reboot":        {now: func(i *Installation) { i.powerCycle() }},
	"how-long-well": {now: func(i *Installation) { i.powerCycle() }},
	"other-lead": while(60, func(c *conditions) {
		c.garble = 0
		if c.refusal == "no-port" {
			c.refusal = ""
		}
	}),
	"try-speeds": while(60, func(c *conditions) { c.wrongBaud = false }),
	"quiet-open": while(60, func(c *conditions) { c.resetsOnOpen = false }),
	"other-port": while(60, func(c *conditions) { c.otherPort = false }),
	"ask-feed":   {now: func(i *Installation) { i.line.sent = false }},
	"bare-board": while(60, func(c *conditions) { c.leadOff, c.sensorOff, c.busStuck, c.strapped = true, true, false, false }),
	"no-display": {now: func(i *Installation) { i.powerCycle() }, steps: []stage{{60, func(c *conditions) { c.busStuck = false; c.isolated = true }}}},
	"cable-wiggle": while(30, func(c *conditions) {
		if c.loose > 0 {
			c.loose = 0.6
		}
	}),
	"command-alive":       while(0.5, func(c *conditions) { c.pressed = true }),
	"bucket-test":         {now: func(i *Installation) { i.pour(0.05) }},
	"control-cycle":       {plan: (*Installation).cyclePlan},
	"auto-start":          while(180, func(c *conditions) { c.low = 90 }),
	"sensor-unplug":       while(120, both(isolated, sensorOut)),
	"demand-off":          while(600, func(c *conditions) { c.demandHop, c.isolated = 0, true }),
	"outlets-shut":        while(300, isolated),
	"delivery-valve-shut": while(300, isolated),
}

// How long a technician holds the board in each place, and leaves the sensor off.
const (
	cycleStage = 80.0  // s
	cycleLost  = 130.0 // s
)

// cyclePlan holds a board 5 cm beyond low set, then just inside full, then unplugs the sensor; the pump is isolated.
func (i *Installation) cyclePlan() []stage {
	r := i.record()
	low, full := r.empty-r.low/100*(r.empty-r.full), r.empty-r.fullSet/100*(r.empty-r.full)
	return []stage{{cycleStage, both(isolated, heldAt(low+0.05))}, {cycleStage, both(isolated, heldAt(full-0.013))}, {cycleLost, both(isolated, sensorOut)}}
}

func both(a, b func(c *conditions)) func(c *conditions) {
	return func(c *conditions) { a(c); b(c) }
}

// spareSensor is a known-good sensor on its own lead, pointed at a wall 1 m away.
func spareSensor(c *conditions) {
	h := healthy()
	c.board50, c.lossDB, c.faceDB, c.fadeDB, c.web, c.fixed, c.tilt, c.hears = 1, 0, 0, 0, 0, h.fixed, 0, h.hears
	c.triggerOpen, c.loose, c.damp, c.cross = false, 0, 0, 0
	if !c.noDivider {
		c.lost = h.lost
	}
}

// pressStart presses the start button: the program calls the pump unless a delay runs or the button is held already.
func (i *Installation) pressStart() {
	if !i.booted() || i.board.hung || i.cond.buttonHeld || i.waits() > 0 {
		return
	}
	i.command(true)
}

func (i *Installation) powerCycle() {
	if i.board.powered {
		i.restart("power-on")
	}
}

// pour adds or takes water for a change of level, on the account.
func (i *Installation) pour(rise float64) {
	w := &i.water
	want := i.tank.volume(w.level+rise) - w.volume
	if want >= 0 {
		w.in += want
	} else {
		w.out -= want
	}
	w.volume += want
	w.level = i.tank.level(w.volume, w.level+rise)
}

// SwitchIn adds a fault to the running installation, its start counted from now.
func (i *Installation) SwitchIn(f Fault) error {
	i.mu.Lock()
	defer i.mu.Unlock()
	f.At += time.Duration(i.now * float64(time.Second))
	return i.switchIn(f)
}
