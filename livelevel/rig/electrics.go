package rig

import "math"

// electrics is the supply, the cable, the relay driver and the contact.
type electrics struct {
	supply, board float64 // V at the supply's terminals and at the board
	lowest        float64 // V, the deepest dip of the last relay pull-in
	lowestSupply  float64
	coil          float64 // A
	collector     float64 // V
	pulledIn      bool
	operations    int
	stuckUntil    float64 // s, a contact that stuck
	dipUntil      float64
	dip, dipEnd   float64 // V taken off board and supply while a dip lasts
	outUntil      float64 // the mains are away until
	nextOut       float64
	nextBlip      float64
	resetWanted   string  // a reset cause, for the board
	resetAt       float64 // s; the board holds out a moment on its capacitors
}

const (
	supplyVolts  = 5.05
	boardAmps    = 0.24
	brownOut     = 4.3
	pinVolts     = 3.3
	junction     = 0.7 // V, base to emitter
	saturated    = 0.1 // V, collector to emitter
	gain         = 110.0
	pullInShare  = 0.75 // of the coil's rated voltage; data-sheet rule
	releaseShare = 0.10 // likewise
	coilHenry    = 0.1  // H, assumed
	diodeVolts   = 0.7
	holdUp       = 0.03 // s from a dip to the reset; common practice, no source
)

func newElectrics() electrics {
	return electrics{supply: supplyVolts, board: supplyVolts - 0.14, lowest: supplyVolts - 0.2, lowestSupply: supplyVolts, nextOut: -1, nextBlip: -1}
}

// cableResistance of both conductors together, length in m, ohm per km of one.
func cableResistance(length, ohmPerKm float64) float64 { return 2 * length * ohmPerKm / 1000 }

// baseAmps through the base resistor with the pin high.
func baseAmps(resistor float64) float64 { return (pinVolts - junction) / resistor }

// coilDecay is the current t seconds after the transistor opened, through coil and diode (textbook):
// i = (I0 + Vd/R) exp(-R t/L) - Vd/R, not below 0.
func coilDecay(i0, ohms, henry, volts, t float64) float64 {
	return math.Max((i0+volts/ohms)*math.Exp(-ohms*t/henry)-volts/ohms, 0)
}

// stepElectrics works out the voltages from the currents, and what the relay does.
func (i *Installation) stepElectrics() {
	e, c := &i.elec, &i.cond
	i.stepMains()
	driven := i.coilDriven()
	e.coil = i.coilAmps(driven)
	load := e.coil
	if i.board.powered {
		load += boardAmps
	}
	if driven && c.diodeReversed && !c.leadOff {
		load += 1.2 // the diode carries what the supply gives
	}
	if c.noSupply || i.now < e.outUntil {
		e.supply, e.board = 0, 0
	} else {
		e.supply = supplyVolts - load*c.psuOhms
		e.board = e.supply - load*c.cableOhms
	}
	if i.now < e.dipUntil {
		e.board -= e.dip
		e.supply -= e.dipEnd
	}
	e.board, e.supply = math.Max(e.board, 0), math.Max(e.supply, 0)
	i.moveRelay(driven)
	i.supervise()
}

// stepMains lets the mains go away and come back, and the board's supply blink.
func (i *Installation) stepMains() {
	e, c := &i.elec, &i.cond
	if c.interrupted == 0 {
		e.nextOut = -1
	} else if e.nextOut < 0 {
		e.nextOut = i.now + 30 + 10*i.rng.Float64()
	} else if i.now >= e.nextOut {
		e.outUntil = i.now + 20 + 15*i.rng.Float64()
		e.nextOut = e.outUntil + c.interrupted*(0.7+0.6*i.rng.Float64())
	}
	if c.blips == 0 {
		e.nextBlip = -1
	} else if e.nextBlip < 0 {
		e.nextBlip = i.now + 15 + 10*i.rng.Float64()
	} else if i.now >= e.nextBlip {
		e.outUntil = i.now + 0.3
		e.nextBlip = i.now + c.blips*(0.7+0.6*i.rng.Float64())
	}
}

// coilDriven tells whether the transistor is on.
func (i *Installation) coilDriven() bool {
	c, b := &i.cond, &i.board
	if c.shorted {
		return true
	}
	if !b.powered {
		return false
	}
	if i.booting() {
		return c.pullUp || c.inverted && i.now > b.readyAt-0.3
	}
	return b.called != c.inverted
}

// coilAmps: what the transistor can carry or what the coil takes, whichever is less.
func (i *Installation) coilAmps(driven bool) float64 {
	c, e := &i.cond, &i.elec
	e.collector = e.board
	if c.coilOpen || c.leadOff {
		if c.coilOpen {
			e.collector = 0 // nothing pulls it up
		}
		return 0
	}
	if !driven || c.diodeReversed {
		if c.noDiode || c.diodeReversed {
			return 0
		}
		return coilDecay(e.coil, c.coilOhms, coilHenry, diodeVolts, step)
	}
	amps := math.Min(c.gain*baseAmps(c.baseResistor), math.Max(e.board-saturated, 0)/c.coilOhms)
	if c.shorted {
		amps = math.Max(e.board, 0) / c.coilOhms
	}
	e.collector = e.board - amps*c.coilOhms
	return amps
}

// moveRelay pulls in and lets go by the coil's voltage, with the hysteresis of a relay.
func (i *Installation) moveRelay(driven bool) {
	c, e := &i.cond, &i.elec
	volts := e.coil * c.coilOhms
	switch {
	case !e.pulledIn && volts >= pullInShare*c.coilVolts:
		e.pulledIn = true
		e.operations++
		i.relayPulledIn()
	case e.pulledIn && volts < releaseShare*c.coilVolts:
		e.pulledIn = false
		e.operations++
		i.relayLetGo()
	}
	if c.diodeReversed && driven && !c.leadOff {
		i.dipNow(1.6, 0.1)
	}
}

// relayPulledIn: the coil's inrush dips the supply of the board.
func (i *Installation) relayPulledIn() {
	c := &i.cond
	i.dipNow(c.surge*(0.9+0.2*i.rng.Float64()), c.psuOhms*0.35)
	for range 1 + i.rng.IntN(4) { // the contact bounces, and every bounce draws an arc at the motor's starting current
		if c.sticky && i.chance(0.3) {
			i.elec.stuckUntil = i.now + 1200
		}
	}
}

// relayLetGo: without its diode the coil's spike reaches the processor.
func (i *Installation) relayLetGo() {
	if i.cond.noDiode && !i.cond.leadOff && i.board.powered && i.chance(0.97) {
		i.elec.resetWanted, i.elec.resetAt = "brown-out", i.now
	}
}

// motorStarts: the motor's starting current dips the mains, and the supply of the board with them.
func (i *Installation) motorStarts() {
	if i.cond.mainsDip > 0 {
		d := i.cond.mainsDip * (0.85 + 0.3*i.rng.Float64())
		i.dipNow(d, d*0.9)
	}
}

// dipNow takes volts off board and supply for a short while. The relay moves on the same instant.
func (i *Installation) dipNow(board, supply float64) {
	e := &i.elec
	e.dip, e.dipEnd, e.dipUntil = board, supply, i.now+2.5*step
	e.board, e.supply = math.Max(e.board-board, 0), math.Max(e.supply-supply, 0)
	e.lowest, e.lowestSupply = e.board, e.supply
	if e.lowest < brownOut && i.board.powered && e.resetWanted == "" {
		e.resetWanted, e.resetAt = "brown-out", i.now+holdUp
	}
}

// supervise switches the board off and on with its supply.
func (i *Installation) supervise() {
	e, b := &i.elec, &i.board
	alive := e.board >= 2.5 && i.cond.logic >= 2.9
	if b.powered && !alive {
		b.powered, b.called = false, false
	} else if !b.powered && alive {
		b.powered = true
		i.restart("power-on")
	}
	if e.resetWanted != "" && i.now >= e.resetAt {
		if b.powered {
			i.restart(e.resetWanted)
		}
		e.resetWanted = ""
	}
}

// contactClosed tells whether the contact that feeds the pump is closed.
func (i *Installation) contactClosed() bool {
	c, e := &i.cond, &i.elec
	switch {
	case c.welded || i.now < e.stuckUntil && c.sticky:
		return true
	case c.burnt:
		return false
	case c.normallyClosed:
		return !e.pulledIn
	}
	return e.pulledIn
}

// sensorVolts at the sensor's plug.
func (i *Installation) sensorVolts() float64 {
	return math.Max(math.Min(i.elec.board, 5)-i.cond.sensorDrop, 0)
}
