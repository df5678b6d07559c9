package diagnostics

import (
	"fmt"
	"math"

	"example.org/tankhand/diagnostics/circuit"
	"example.org/tankhand/diagnostics/hydraulics"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
)

const (
	howCoil  = "ohmmeter across the coil, board without power; or the relay's data sheet"
	howLabel = "printed on the relay"
)

// coilSupply is what feeds the coil: the board's supply, else the coil's rated voltage.
func coilSupply(d *desk, s *site.Sheet) float64 {
	if s.Supply.Voltage.Known() {
		return d.use("supply.voltage", s.Supply.Voltage)
	}
	return d.need("relay.coil_voltage", s.Relay.CoilVoltage, howLabel)
}

func relayDrive(d *desk, s *site.Sheet) {
	r := &s.Relay
	drv := circuit.Driver{
		Pin:          d.need("relay.pin_voltage", r.PinVoltage, "voltmeter at the output pin while the relay is called"),
		BaseResistor: d.need("relay.base_resistor", r.BaseResistor, "its colour rings or print, or an ohmmeter with the board without power"),
		Coil:         d.need("relay.coil_resistance", r.CoilResistance, howCoil),
		Supply:       coilSupply(d, s),
		BaseEmitter:  circuit.BaseEmitter, Saturation: circuit.Saturation,
	}
	gain := d.use("relay.transistor_gain", r.TransistorGain)
	forced := drv.ForcedGain()
	d.figure("base_current_a", drv.BaseCurrent(), "A")
	d.figure("coil_current_a", drv.CoilCurrent(), "A")
	d.figure("forced_gain", forced, "")
	most := gain / 2
	d.limit("The Art of Electronics, 3rd ed., ch. 2, as quoted elsewhere: 10 is sure, 20 acceptable; half the stated gain is "+practice,
		"forced gain at most half the transistor's stated gain, better at most %.0f", circuit.MostGain)
	if d.short() {
		return
	}
	better := circuit.E24(drv.ResistorFor(circuit.SureGain))
	fix := drv
	fix.BaseResistor = better
	if forced > circuit.MostGain || forced > most {
		d.change("%s in place of %s gives a forced gain of %.2g (%.1f mA from the pin: see what the pin may give)",
			d.show(better, quantity.Resistance), d.show(drv.BaseResistor, quantity.Resistance), fix.ForcedGain(), 1e3*fix.BaseCurrent())
	}
	switch {
	case forced > most: // never with an unknown gain
		d.verdict(false, "the forced gain is %.3g, above half the stated %.0f: the relay may not pull in", forced, gain)
	case forced <= circuit.MostGain:
		d.verdict(true, "the forced gain is %.3g: the transistor saturates", forced)
	case math.IsNaN(most):
		d.lacks("relay.transistor_gain", "the least gain in the transistor's data sheet at this current")
		d.f.Why = "the forced gain is above 20; whether this transistor still saturates depends on its gain (relay.transistor_gain)"
	default:
		d.verdict(true, "marginal: the forced gain is %.3g, above 20 but below half the stated %.0f", forced, gain)
	}
}

// motorCurrent is the pump's running current: measured or on the plate, else from its power.
func motorCurrent(d *desk, s *site.Sheet) float64 {
	p := &s.Pump
	if p.RunningCurrent.Known() {
		return d.use("pump.running_current", p.RunningCurrent)
	}
	if !p.MotorPower.Known() || !p.MotorVoltage.Known() {
		d.lacks("pump.running_current", "clamp meter on one conductor while the pump runs, or its plate")
		return math.NaN()
	}
	w, v := d.use("pump.motor_power", p.MotorPower), d.use("pump.motor_voltage", p.MotorVoltage)
	if p.Phases.Or(1) == 3 {
		return w / (math.Sqrt(3) * v * usualEfficiencyAndFactor)
	}
	return hydraulics.SinglePhaseCurrent(w, v)
}

// usualEfficiencyAndFactor of a small three-phase motor: 0.75 times 0.8. Common practice, no source.
const usualEfficiencyAndFactor = 0.6

// contactShare is the share of a relay's resistive rating that a motor's running current may have.
const contactShare = 0.5

func contactRating(d *desk, s *site.Sheet) {
	d.limit(practice+" (a third to a half); IEC 60947-4-1 rates motor switching apart, AC-3", "motor current at most half of the contact's resistive rating")
	if s.Relay.Drives == "contactor" {
		d.verdict(true, "the relay drives a contactor, not the motor; see that the contactor's AC-3 rating fits the motor")
		return
	}
	if s.Relay.Drives != "motor" {
		d.lacks("relay.drives", "follow the wires from the contact: to the motor or to a contactor's coil")
	}
	rated := d.need("relay.contact_current", s.Relay.ContactCurrent, howLabel+": amperes at the mains voltage, resistive")
	amps := motorCurrent(d, s)
	d.figure("motor_current_a", amps, "A")
	d.figure("starting_current_a", hydraulics.LockedRotor*amps, "A")
	d.figure("share_of_rating", amps/rated, "")
	if d.short() || math.IsNaN(amps) {
		return
	}
	ok := amps <= contactShare*rated
	d.verdict(ok, "the motor takes %.1f A and about %.0f A at the start; the contact is rated %.0f A resistive (%.0f %%)",
		amps, hydraulics.LockedRotor*amps, rated, 100*amps/rated)
	if perHour := worstStarts(s); perHour > 0 {
		const life = 1e5 // operations at the rated resistive load
		d.figure("starts_per_year_worst", perHour*24*365, "1/a")
		d.f.Why += fmt.Sprintf("; at worst it starts %.1f times an hour, %.0f times a year (contacts last some %.0f at their resistive rating, far fewer on motors)",
			perHour, perHour*24*365, life)
	}
	if !ok {
		d.change("let the relay drive a contactor rated AC-3 for %.1f A or more, or fit a relay of %.0f A or more; "+
			"this is mains work: isolated, locked off and proved dead, by a person licensed for it under the local code", amps, math.Ceil(amps/contactShare))
	}
}

func flybackDiode(d *desk, s *site.Sheet) {
	r := &s.Relay
	// Inductance of a small coil and stray capacitance: assumptions.
	const inductance, stray = 0.1, 100e-12
	coil := d.use("relay.coil_resistance", r.CoilResistance)
	i := s.Supply.Voltage.Or(r.CoilVoltage.Or(math.NaN())) / coil
	d.figure("coil_current_a", i, "A")
	d.figure("kick_v", circuit.Kick(i, inductance, stray), "V")
	d.limit(practice, "a diode across the coil, its cathode at the positive supply")
	switch r.Diode {
	case "fitted", "yes":
		d.verdict(true, "a diode is fitted")
	case "missing", "none", "no", "not fitted":
		d.verdict(false, "no diode: the coil kicks back into the transistor and the board at each switching off")
		d.change("fit a rectifier diode across the coil, cathode to the positive supply, for %s or more and the supply's voltage in reverse",
			d.amps(i))
	default:
		d.lacks("relay.diode", "look beside the relay's coil pins for a diode; or its print on the board")
	}
}

func (d *desk) amps(i float64) string {
	if math.IsNaN(i) {
		return "the coil's current"
	}
	return d.show(i, quantity.Current)
}

// dropShare is the share of the supply that a cable may take.
const dropShare = 0.05

// load is the current in the cable with the relay in: board and coil.
func load(d *desk, s *site.Sheet) float64 {
	board := d.need("supply.board_current", s.Supply.BoardCurrent, "ammeter in the supply lead with the relay out")
	coil := d.need("relay.coil_resistance", s.Relay.CoilResistance, howCoil)
	return board + (coilSupply(d, s)-circuit.Saturation)/coil
}

// cable is the drop in the supply cable at a current.
func cable(d *desk, s *site.Sheet, amps float64) float64 {
	length := d.need("supply.cable_length", s.Supply.CableLength, "tape along the cable from the supply to the board")
	area := d.need("supply.cable_area", s.Supply.CableArea, "printed on the cable")
	return circuit.Drop(length, circuit.ResistancePerMetre(area), amps)
}

func cableDrop(d *desk, s *site.Sheet) {
	volts := d.need("supply.voltage", s.Supply.Voltage, "the supply's plate, or a voltmeter at its terminals")
	amps := load(d, s)
	drop := cable(d, s, amps)
	d.figure("drop_v", drop, "V")
	d.figure("share", drop/volts, "")
	d.figure("current_a", amps, "A")
	d.limit("IEC 60228:2004 resistance at 20 degC, both conductors; 5 % is "+practice, "at most %.0f %% of the supply", 100*dropShare)
	if d.short() {
		return
	}
	ok := drop <= dropShare*volts
	d.verdict(ok, "the cable takes %.2f V (%.1f %%) with the relay in, at %.2f A", drop, 100*drop/volts, amps)
	if ok {
		return
	}
	if a := circuit.NextArea(s.Supply.CableLength.V, amps, dropShare*volts); a > 0 {
		d.change("a cable of %.3g mm2 takes %.2f V", 1e6*a, circuit.Drop(s.Supply.CableLength.V, circuit.ResistancePerMetre(a), amps))
	} else {
		d.change("put the supply nearer: %s of this cable would do", d.metres(s.Supply.CableLength.V*dropShare*volts/drop))
	}
}

// hotCoil is the temperature of a coil that has been on for long in a warm box, degC.
const hotCoil = 60.0

func supplyBudget(d *desk, s *site.Sheet) {
	volts := d.need("supply.voltage", s.Supply.Voltage, "the supply's plate, or a voltmeter at its terminals")
	brown := d.need("supply.brown_out", s.Supply.BrownOut, "the board's data sheet: least input of its regulator, or the supply at which it restarts")
	rated := d.need("relay.coil_voltage", s.Relay.CoilVoltage, howLabel)
	amps := load(d, s)
	board := volts - cable(d, s, amps)
	operate := circuit.OperateVoltage(circuit.MustOperate*rated, hotCoil) + circuit.Saturation
	d.figure("board_v", board, "V")
	d.figure("reserve_v", board-brown, "V")
	d.figure("hot_operate_v", operate, "V")
	d.limit("pull-in at 75 % of the rated voltage is the usual data-sheet figure (from memory), copper after IEC 60028; the reserve is "+practice,
		"at the board, relay in: above the brown-out and above what a coil at %s needs", d.show(hotCoil, quantity.Temperature))
	if d.short() {
		return
	}
	ok := board > brown && board >= operate
	d.verdict(ok, "with the relay in the board has %.2f V; it restarts below %.2f V, a hot coil needs %.2f V", board, brown, operate)
	if s.Controller.FeedPowersBoard == "yes" {
		d.f.Why += "; while the feed's lead powers the board, this does not show"
	}
	if !ok {
		need := max(brown, operate) + 0.1
		d.change("raise the board to %.2f V: a thicker or shorter cable, a stiffer supply, or a relay with its own", need)
	}
}

func echoDivider(d *desk, s *site.Sheet) {
	e := &s.EchoLine
	high := d.need("echo_line.high", e.High, "scope or logic probe on the sensor's echo pin; its data sheet")
	top := d.need("echo_line.top_resistor", e.TopResistor, "its colour rings or print: from the echo pin to the board's input")
	bottom := d.need("echo_line.bottom_resistor", e.BottomResistor, "its colour rings or print: from the board's input to ground")
	most := d.need("echo_line.input_limit", e.InputLimit, "the board's data sheet: absolute maximum of an input")
	logic := d.need("controller.logic_voltage", s.Controller.LogicVoltage, "voltmeter at the board's logic supply")
	in, least := circuit.Divided(high, top, bottom), circuit.InputHigh*logic
	d.figure("input_v", in, "V")
	d.figure("input_high_v", least, "V")
	d.figure("least_echo_v", circuit.LeastEcho(least, top, bottom), "V")
	d.limit("a high of 0.75 of the logic supply is "+practice, "at the input at most its limit%s and at least 0.75 of the logic voltage%s", volts(most), volts(least))
	if d.short() {
		return
	}
	ok := in <= most && in >= least
	d.verdict(ok, "%.2f V comes to the input", in)
	switch {
	case in > most:
		d.f.Why += ": more than it bears"
	case in < least:
		d.f.Why += ": too low to be a sure high"
	case in < 1.05*least:
		d.f.Why += ": marginal, a sagging echo is missed"
	}
	if in < 1.05*least || in > most {
		d.betterDivider(high, most, least)
	}
}

func volts(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return fmt.Sprintf(" (%.2f V)", v)
}

// betterDivider names usual resistors that put the echo amid the limits.
func (d *desk) betterDivider(high, most, least float64) {
	for _, p := range [][2]float64{{1000, 2000}, {1800, 3300}, {2200, 3300}, {1000, 1000}, {1000, 10000}, {2000, 1000}} {
		if v := circuit.Divided(high, p[0], p[1]); v <= most && v >= 1.05*least {
			d.change("%s over %s gives %.2f V", d.show(p[0], quantity.Resistance), d.show(p[1], quantity.Resistance), v)
			return
		}
	}
	d.change("fit a level shifter: no usual divider fits between %.2f V and %.2f V", least, most)
}

const (
	weakestPullUp   = 100e3 // ohm: damp boards and long leads pull more than that down
	strongestPullUp = 1e3
)

func pullUps(d *desk, s *site.Sheet) {
	b := &s.Buttons
	r := d.use("buttons.pull_up", b.PullUp)
	d.figure("pull_up_ohm", r, "ohm")
	d.limit(practice, "an input has a pull-up, inside or outside, of at most %s", d.show(weakestPullUp, quantity.Resistance))
	switch {
	case b.InternalPullUp == "yes":
		d.verdict(true, "the inputs have pull-ups inside; a long lead still wants 10 kohm outside")
	case !math.IsNaN(r) && r > weakestPullUp:
		d.verdict(false, "the pull-up of %s is too weak: damp or a long lead presses the button", d.show(r, quantity.Resistance))
	case !math.IsNaN(r) && r < strongestPullUp:
		d.verdict(true, "the inputs have pull-ups of %s; less than 1 kohm wastes current", d.show(r, quantity.Resistance))
	case !math.IsNaN(r):
		d.verdict(true, "the inputs have pull-ups of %s", d.show(r, quantity.Resistance))
	case b.InternalPullUp == "no" && b.PullUp.Place.Line == 0:
		d.verdict(false, "the inputs have no pull-up inside and the sheet names none outside: they float and press themselves")
	default:
		d.lacks("buttons.pull_up", "ohmmeter from the input to the logic supply, board without power; and the firmware's setting of the input")
	}
	if d.f.Verdict == Fail {
		d.change("fit 10 kohm from each input to the logic supply; with 100 nF to ground the edge takes %.1f ms, longer than a bounce", 1e3*circuit.EdgeTime(10e3, 100e-9))
	}
}
