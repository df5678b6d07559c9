package rig

import (
	"math"
	"math/rand/v2"
	"slices"
)

// board is the controller and its program.
type board struct {
	powered  bool
	readyAt  float64 // the program runs from then on
	hung     bool    // it runs no more
	stalled  float64 // hung until its watchdog bites, s; 0 not
	called   bool    // the pump is commanded
	manual   bool
	button   bool
	demand   bool
	upSince  float64
	nextPing float64
	report   bool // a line is due
	nextEdge float64
	nextHop  float64
	lastStop float64
	lastOn   float64
	cause    string // of the last restart
	hangAt   float64
	boots    int

	// taught values, read at start and when they are set
	full, empty, low, fullSet float64

	// the last report
	distance, percent float64 // NaN unknown
	lost              bool
	lostFor           float64
	recent            [3]float64
	got               int
	below, above      int
	celsius           float64
}

const bootTime = 3.0 // s from reset to the first line of the program

func newBoard(rng *rand.Rand) board {
	days := 2 + 9*rng.Float64()
	return board{powered: true, upSince: -86400 * days, nextPing: step, lastStop: -7200, distance: math.NaN(), percent: math.NaN(), hangAt: -1}
}

func (b *board) relearn(c *conditions) {
	b.full, b.empty, b.low, b.fullSet, b.manual = c.full, c.empty, c.low, c.fullSet, c.manual
}

func (i *Installation) booted() bool { return i.board.powered && i.now >= i.board.readyAt }

func (i *Installation) booting() bool { return i.board.powered && i.now < i.board.readyAt }

// restart is a reset of the processor: the pin lets go of the relay, the start-up text follows.
func (i *Installation) restart(cause string) {
	b := &i.board
	b.readyAt = i.now + bootTime
	b.nextPing = b.readyAt
	b.called, b.hung, b.stalled, b.hangAt, b.report = false, false, 0, -1, false
	b.upSince, b.cause = i.now, cause
	b.below, b.above, b.got, b.lostFor = 0, 0, 0, 0
	b.nextEdge, b.nextHop, b.button, b.demand = 0, 0, false, false
	b.boots++
	i.line.banner = i.now + 0.25
}

// stepBoard runs the program: start-up text, inputs, and a ping when one is due.
func (i *Installation) stepBoard() {
	b, c := &i.board, &i.cond
	i.stepLine()
	if !i.booted() || c.noProgram || c.strapped || b.hung {
		return
	}
	if i.stumbles() {
		return
	}
	i.readInputs()
	if b.report {
		b.report = false
		i.report()
	}
	if i.now+1e-9 < b.nextPing {
		return
	}
	b.nextPing = math.Max(b.nextPing+c.pingEvery, i.now)
	if !(c.hangsOn && b.called && i.now-b.lastOn > 8) {
		i.measure()
		i.control()
	}
	b.report = true // printed in the next step, when the relay has moved
}

// stumbles is how a bad program stops or restarts; true when it does nothing this step.
func (i *Installation) stumbles() bool {
	b, c := &i.board, &i.cond
	up := i.now - math.Max(b.readyAt, i.firstTrouble())
	switch {
	case c.busStuck:
		return true
	case c.loops > 0 && up >= c.loops-step:
		i.restart("watchdog")
		return true
	case c.stopsAfter > 0 && up > c.stopsAfter:
		b.hung, b.called = true, false
		return true
	case b.stalled > 0:
		if i.now >= b.stalled {
			i.restart("watchdog")
		}
		return true
	case c.hangsEvery > 0:
		if b.hangAt < 0 {
			b.hangAt = i.now + c.hangsEvery*(0.6+0.8*i.rng.Float64())
		}
		if i.now >= b.hangAt {
			b.stalled, b.hangAt = i.now+4, -1
			return true
		}
	}
	return false
}

// firstTrouble is when the first present fault came: a program that runs out of memory counts from then.
func (i *Installation) firstTrouble() float64 {
	first := 0.0
	for k := range i.faults {
		if i.faults[k].present {
			first = math.Max(first, i.faults[k].since)
		}
	}
	return first
}

// measure pings and turns the echo into distance, level and percent as the program does.
func (i *Installation) measure() {
	b, c := &i.board, &i.cond
	b.celsius = math.Round(i.air.celsius*10) / 10
	h := i.ping()
	b.lost = h.lost
	if h.lost {
		b.lostFor += c.pingEvery
		b.distance = math.NaN()
		return
	}
	b.lostFor = 0
	speed := 331.3 + 0.606*b.celsius + 0.0124*i.air.humidity // a usual linear rule of programs; from memory
	if c.fixedSpeed > 0 {
		speed = c.fixedSpeed
	}
	b.distance = h.seconds * speed / 2 * c.scale
	copy(b.recent[1:], b.recent[:2])
	b.recent[0] = b.distance
	b.got = min(b.got+1, 3)
	b.percent = b.percentAt(b.filtered())
}

// filtered is the median of the last three echoes.
func (b *board) filtered() float64 {
	if b.got < 3 {
		return b.recent[0]
	}
	r := b.recent
	slices.Sort(r[:])
	return r[1]
}

func (b *board) percentAt(distance float64) float64 {
	return 100 * (b.empty - distance) / (b.empty - b.full)
}

// readInputs lets floating inputs wander and acts on a press: a press starts or stops the pump.
func (i *Installation) readInputs() {
	b, c := &i.board, &i.cond
	if c.buttonFloats > 0 && i.now >= b.nextEdge {
		if b.nextEdge > 0 {
			b.button = !b.button
			if b.button {
				i.toggle()
			}
		}
		b.nextEdge = i.now + i.rng.ExpFloat64()/c.buttonFloats
	}
	if c.buttonHeld {
		b.button = true
		if i.now >= b.nextEdge { // the program repeats a held button
			i.toggle()
			b.nextEdge = i.now + 1
		}
	}
	if c.buttonFloats == 0 && !c.buttonHeld {
		b.button = c.pressed
	}
	if c.demandHop > 0 && i.now >= b.nextHop {
		if b.nextHop > 0 {
			b.demand = !b.demand
			i.command(b.demand)
		}
		b.nextHop = i.now + i.rng.ExpFloat64()/c.demandHop
	} else if c.demandHop == 0 {
		b.demand = false
	}
}

func (i *Installation) toggle() { i.command(!i.board.called) }

// command switches the relay's output and keeps the times for the delays.
func (i *Installation) command(on bool) {
	b := &i.board
	if on == b.called {
		return
	}
	b.called = on
	b.below, b.above = 0, 0
	if on {
		b.lastOn = i.now
	} else {
		b.lastStop = i.now
	}
}

// control starts below low set and stops at full, when enough readings in a row say so.
func (i *Installation) control() {
	b, c := &i.board, &i.cond
	if b.manual || c.marksLost() {
		return
	}
	if b.lost {
		i.controlLost()
		return
	}
	b.count()
	switch {
	case !b.called && b.below >= confirmCount && i.now-b.lastStop >= c.minOff:
		i.command(true)
	case b.called && b.above >= confirmCount && !b.demand:
		i.command(false)
	}
}

func (b *board) count() {
	b.below, b.above = tally(b.below, b.percent < b.low), tally(b.above, b.percent >= b.fullSet)
}

func tally(n int, holds bool) int {
	if holds {
		return n + 1
	}
	return 0
}

// controlLost is what the program does on a lost echo: it holds, or takes the tank for empty or full.
func (i *Installation) controlLost() {
	b := &i.board
	if b.lostFor < 0.55 {
		return
	}
	switch i.cond.onLost {
	case "starts":
		i.command(true)
	case "stops":
		i.command(false)
	}
}
