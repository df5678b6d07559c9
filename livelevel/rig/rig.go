// Package rig is the practice rig: a simulated installation with faults that can be switched in. It
// speaks only bytes, port errors and truthful answers.
//
// The installation is computed from physics in fixed steps of 20 ms: water by a mass balance, the pump
// on its curve against the pipe, sound in moist air, a relay on a transistor, a supply at the end of a
// cable, and a small controller program that reads the echo and drives the relay. A fault changes
// the conditions (an extra resistance, a shut valve, a setting), never the outcome; what the feed
// shows follows. The site, its figures and its people are invented.
package rig

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"
)

// step is the fixed step of the simulation; one seed gives the same bytes however Advance is called.
const (
	step    = 0.02 // s
	stepDur = 20 * time.Millisecond
)

// Options of an installation.
type Options struct {
	Faults  []Fault
	Seed    uint64
	Dialect string    // an id of Dialects; empty is the first of them
	Start   time.Time // the wall clock at the start: the hour decides the air in the tank top
	Tank    string    // a shape of the site sheet; empty is the vertical cylinder
	// Level is the height of the water at the start in metres; 0 leaves it to the faults, near low set.
	Level float64
}

// Installation is the simulated installation; it satisfies port.Simulation. Not safe for concurrent use.
type Installation struct {
	opt    Options
	pcg    rand.PCG
	rng    *rand.Rand
	tank   vessel
	faults []switched
	tests  []test // what the technician is doing just now
	cond   conditions

	due   time.Duration // how far Advance has been asked to go
	ticks int64         // steps done
	now   float64       // s from the start

	air   air
	water water
	pump  pump
	elec  electrics
	echo  echoState
	board board
	line  lineState // the serial line to the technician
	say   speaker
	out   []byte
	watch *trial // set in the copy on which a trial is played
}

// New builds one: the healthy installation of the site sheet with the faults of the options.
func New(o Options) (*Installation, error) {
	tank, err := newVessel(o.Tank)
	if err != nil {
		return nil, err
	}
	say, err := newSpeaker(o.Dialect)
	if err != nil {
		return nil, err
	}
	i := &Installation{opt: o, tank: tank, say: say}
	for _, f := range o.Faults {
		if err := i.switchIn(f); err != nil {
			return nil, err
		}
	}
	i.pcg = *rand.NewPCG(o.Seed, 0x7461_6e6b)
	i.rng = rand.New(&i.pcg)
	i.begin()
	return i, nil
}

// begin sets the state at time zero: a controller that has been up for days, water near low set.
func (i *Installation) begin() {
	i.refresh()
	i.air = newAir(i.opt.Start)
	i.water = water{level: i.startLevel()}
	i.water.volume = i.tank.volume(i.water.level)
	i.water.first = i.water.volume
	i.pump = newPump()
	i.elec = newElectrics()
	i.board = newBoard(i.rng)
	i.board.relearn(&i.cond)
	i.board.called = i.cond.startsFilling
}

func (i *Installation) startLevel() float64 {
	if i.opt.Level > 0 {
		return math.Min(i.opt.Level, i.tank.height)
	}
	if i.cond.startLevel > 0 {
		return i.cond.startLevel
	}
	return levelAtLowSet + 0.0048
}

// Advance moves it on and returns the bytes it sent; the slice is good until the next call.
func (i *Installation) Advance(d time.Duration) []byte {
	i.out = i.out[:0]
	i.due += max(d, 0)
	for time.Duration(i.ticks+1)*stepDur <= i.due {
		i.tick()
	}
	return i.out
}

// tick is one step: the world first, then what the controller makes of it.
func (i *Installation) tick() {
	i.ticks++
	i.now = float64(i.ticks) * step
	i.refresh()
	i.air.step(i.now)
	i.stepElectrics()
	i.stepPump()
	i.stepWater()
	i.stepEcho()
	i.stepBoard()
}

// Level is the true height of the water in metres: for tests of the rig itself and for its status line.
func (i *Installation) Level() float64 { return i.water.level }

// Status is one line on the state of the installation, for the terminal the rig runs in.
func (i *Installation) Status() string {
	state := "pump off"
	if i.pump.turning {
		state = fmt.Sprintf("pump on, %.2f m3/h", i.pump.flow*3600)
	}
	return fmt.Sprintf("%s  water %.3f m  %s  board %.2f V", time.Duration(i.now*float64(time.Second)).Round(time.Second),
		i.water.level, state, i.elec.board)
}

func (i *Installation) chance(p float64) bool { return p > 0 && i.rng.Float64() < p }
