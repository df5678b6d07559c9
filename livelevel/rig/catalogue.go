package rig

import (
	"math"
	"slices"
	"strings"
)

// cause is one thing that can be wrong: what it does to the conditions, by severity.
type cause struct {
	what   string
	usual  float64 // severity when none is given
	effect func(c *conditions, s float64)
}

// Listed is one line of `rig --list`.
type Listed struct{ ID, What string }

// Faults lists the ids that can be switched in, with a line on each, healthy first.
func Faults() []Listed {
	out := make([]Listed, 0, len(catalogue)+1)
	for id, c := range catalogue {
		out = append(out, Listed{id, c.what})
	}
	slices.SortFunc(out, func(a, b Listed) int { return strings.Compare(a.ID, b.ID) })
	return append([]Listed{{"healthy", "nothing is wrong"}}, out...)
}

var catalogue = gather(sensorCauses, settingCauses, relayCauses, supplyCauses, pumpCauses, programCauses)

func gather(parts ...map[string]cause) map[string]*cause {
	all := map[string]*cause{}
	for _, p := range parts {
		for id, c := range p {
			all[id] = &c
		}
	}
	return all
}

var sensorCauses = map[string]cause{
	"sensor-supply-low": {"supply low at the sensor end", 0.6, func(c *conditions, s float64) { c.sensorDrop, c.fadeDB = 0.7+1.0*s, 5 }},
	"trigger-open":      {"trigger or echo conductor open: every ping lost", 1, func(c *conditions, _ float64) { c.triggerOpen, c.wrongTerminal = true, true }},
	"echo-5v":           {"5 V echo straight into a 3.3 V input", 0.5, func(c *conditions, s float64) { c.lost += 0.16 * s; c.noDivider = true }},
	"input-dead":        {"echo input of the controller damaged", 1, func(c *conditions, _ float64) { c.inputDead = true }},
	"transducer-wet":    {"water inside the transducer", 0.7, func(c *conditions, s float64) { c.lossDB += 42 * s; c.fadeDB += 4; c.fogged = true }},
	"face-wet":          {"drops or dirt on the sensor face", 0.6, func(c *conditions, s float64) { c.faceDB += 15 + 14*s; c.fadeDB += 4 }},
	"object-at-face":    {"web or loose thing before the sensor face", 0.6, func(c *conditions, s float64) { c.web = 0.7 + 0.3*s }},
	"foam":              {"foam or scum on the water", 0.6, func(c *conditions, s float64) { c.foam = 0.08 * s; c.lossDB += 12 + 16*s; c.fadeDB += 4 }},
	"blanking": {"water inside the blanking distance", 1, func(c *conditions, _ float64) {
		c.startLevel, c.floods = 1.535, true
	}},
	"nozzle-ring":  {"ring-down or echo from the nozzle", 0.85, func(c *conditions, s float64) { c.echoFrom(0.29, min(1, s)); c.nozzle = true }},
	"tilt":         {"sensor not square to the water", 0.65, func(c *conditions, s float64) { c.tilt = (11 + 12.5*s) * math.Pi / 180; c.fadeDB += 4 }},
	"out-of-range": {"water farther away than the sensor can hear", 0.6, func(c *conditions, s float64) { c.hears = 1.3 - 0.4*s }},
	"inlet-stream": {"inlet stream in the beam", 0.6, func(c *conditions, s float64) { c.stream = 0.15 + 0.4*s; c.inletWaves += 0.006 }},
	"wall-echo":    {"echo from wall, ladder or brace", 0.85, func(c *conditions, s float64) { c.echoFrom(0.62, min(1, s)); c.nearWall = true }},
	"double-bounce": {"second bounce taken for the first when nearly full", 0.6, func(c *conditions, s float64) {
		c.twice, c.startLevel, c.startsFilling = 0.5+0.4*s, 1.325, true
	}},
	"ping-fast":   {"pings too close together", 1, func(c *conditions, _ float64) { c.pingEvery = 0.02 }},
	"cross-talk":  {"second ultrasonic sensor heard", 0.6, func(c *conditions, s float64) { c.cross, c.otherSensor = 0.8*s, true }},
	"pump-noise":  {"electrical noise while the pump runs", 0.6, func(c *conditions, s float64) { c.noise = 0.06 + 0.35*s }},
	"loose-joint": {"loose or corroded joint in the sensor cable", 0.5, func(c *conditions, s float64) { c.loose = 0.7 * s; c.noise += 0.02; c.cross += 0.06 * s }},
	"joint-wet":   {"water in the joint box of the sensor cable", 0.6, func(c *conditions, s float64) { c.damp = 0.5 + 0.7*s }},
	"waves":       {"real waves or swirl on the water", 0.6, func(c *conditions, s float64) { c.waves = 0.004 + 0.006*s; c.inletWaves = 0.008 + 0.02*s }},
	"temp-comp":   {"air temperature not allowed for", 0.6, func(c *conditions, s float64) { c.fixedSpeed = soundSpeed(meanAir-10-25*s, 50) }},
	"clock-scale": {"clock or scale factor of the program wrong", 0.5, func(c *conditions, s float64) { c.scale = 1 + 0.05 + 0.2*s }},
	"unit-mixup": {"units mixed up: centimetres were typed where inches are meant", 1, func(c *conditions, _ float64) {
		c.full, c.empty, c.mixedUnits = c.full*2.54, c.empty*2.54, true
	}},
	"sensor-moved": {"sensor shifted since the tank was taught", 0.6, func(c *conditions, s float64) { c.sunk = -0.04 - 0.12*s }},
	"sensor-type":  {"sensor kind set wrong", 0.8, func(c *conditions, s float64) { c.lost, c.scale, c.wrongKind = 0.5+0.45*s, 0.5, true }},
	"lost-echo-as-empty": {"a lost echo is taken for an empty tank, and echoes get lost", 0.6, func(c *conditions, s float64) {
		c.onLost, c.lossDB, c.fadeDB, c.startLevel = "starts", 20+10*s, 7, 0.85
	}},
	"lost-echo-as-full": {"a lost echo is taken for a full tank, and echoes get lost", 0.6, func(c *conditions, s float64) {
		c.onLost, c.lossDB, c.fadeDB = "stops", 16+10*s, 7
	}},
}

var settingCauses = map[string]cause{
	"taught-wrong":        {"empty or full taught at the wrong level", 0.6, func(c *conditions, s float64) { c.full, c.empty = fullMark-0.07, emptyMark+0.2+0.3*s }},
	"taught-swapped":      {"empty and full taught the wrong way round", 1, func(c *conditions, _ float64) { c.full, c.empty = c.empty, c.full }},
	"full-in-blanking":    {"full taught inside the blanking distance", 1, func(c *conditions, _ float64) { c.full = 0.12 }},
	"full-above-overflow": {"full taught above the overflow", 1, func(c *conditions, _ float64) { c.overflow = 1.29 }},
	"low-above-full": {"low set at or above full", 1, func(c *conditions, _ float64) {
		c.low, c.startLevel = 97, levelAtFullSet+0.012
	}},
	"low-set-unreachable": {"low set lies below the outlet", 1, func(c *conditions, _ float64) {
		c.low, c.outlet, c.startLevel = 3, 0.12, 0.122
	}},
	"tank-shape":              {"wrong tank shape or size set", 0.6, func(c *conditions, s float64) { c.volumeFactor = 1.15 + 0.5*s }},
	"hyst-small":              {"gap between start and stop smaller than the waves", 0.6, func(c *conditions, s float64) { c.fullSet = lowSet + 0.7; c.waves, c.inletWaves = 0.004+0.004*s, 0.006 }},
	"band-too-small-for-flow": {"gap between start and stop too small for the draw", 0.6, func(c *conditions, s float64) { c.fullSet = lowSet + 3 - 1.2*s; c.draw = 1.0 * perHour }},
	"mode-manual":             {"left in manual", 1, func(c *conditions, _ float64) { c.manual, c.startLevel = true, levelAtLowSet-0.05 }},
	"marks-lost": {"taught values lost from memory", 1, func(c *conditions, _ float64) {
		c.full, c.empty = math.NaN(), math.NaN()
		c.startLevel = levelAtLowSet - 0.05
	}},
	"restart-delay-running": {"a restart delay is still running", 1, func(c *conditions, _ float64) { c.minOff, c.startLevel = 10800, levelAtLowSet-0.05 }},
	"leak-real": {"the tank leaks or somebody draws: the reading is right", 0.6, func(c *conditions, s float64) {
		c.leakArea = (0.4 + 1.0*s) * perHour / orificeFlow(1, 1.1)
		c.startLevel = 1.1
	}},
}

var relayCauses = map[string]cause{
	"boot-pullup":      {"output pin floats high while the board starts", 0.6, func(c *conditions, s float64) { c.pullUp, c.blips, c.startLevel = true, 80-60*s, 1.0 }},
	"base-r-high":      {"base resistor too high", 0.7, func(c *conditions, s float64) { c.baseResistor, c.gain = 1500+1500*s, 40 }},
	"coil-wrong":       {"relay coil rated for another voltage", 1, func(c *conditions, _ float64) { c.coilOhms, c.coilVolts = 400, 12 }},
	"coil-open":        {"relay coil open", 1, func(c *conditions, _ float64) { c.coilOpen = true }},
	"transistor-short": {"drive transistor shorted", 1, func(c *conditions, _ float64) { c.shorted = true }},
	"diode-missing": {"coil diode missing: a spike as the relay lets go", 0.6, func(c *conditions, s float64) {
		c.noDiode = true
		c.startLevel = levelAtFullSet - 0.015
		c.startsFilling = true
	}},
	"diode-reversed": {"coil diode the wrong way round", 1, func(c *conditions, _ float64) { c.diodeReversed = true }},
	"contact-welded": {"relay contact welded shut", 1, func(c *conditions, _ float64) { c.welded = true; c.startLevel = 1.1 }},
	"contact-burnt":  {"relay contact burnt open", 1, func(c *conditions, _ float64) { c.burnt = true }},
	"contact-small": {"contact rating too small: it sticks now and then", 0.6, func(c *conditions, _ float64) {
		c.sticky = true
		c.startLevel = levelAtFullSet - 0.03
		c.startsFilling = true
	}},
	"relay-nc":       {"pump wired to the normally-closed contact", 1, func(c *conditions, _ float64) { c.normallyClosed, c.wrongTerminal = true, true; c.startLevel = 1.0 }},
	"relay-inverted": {"relay output set the wrong way round", 1, func(c *conditions, _ float64) { c.inverted = true; c.startLevel = 1.0 }},
	"button-float":   {"button input floating", 0.6, func(c *conditions, s float64) { c.buttonFloats = 0.05 + 0.3*s }},
	"button-stuck":   {"button stuck or wet", 1, func(c *conditions, _ float64) { c.buttonHeld = true }},
	"demand-float":   {"demand input floats, or its float switch bounces", 0.6, func(c *conditions, s float64) { c.demandHop, c.startLevel = 0.1+0.4*s, 0.9 }},
}

var supplyCauses = map[string]cause{
	"brownout":          {"supply dips when the relay pulls in, the board restarts", 0.7, func(c *conditions, s float64) { c.surge = 0.6 + 1.0*s }},
	"thin-cable":        {"supply cable too thin", 0.6, func(c *conditions, s float64) { c.cableOhms = cableResistance(6, 100+60*s); c.surge = 0.25 + 0.4*s }},
	"psu-weak":          {"power supply too small or failing", 0.6, func(c *conditions, s float64) { c.psuOhms = 1 + 0.8*s; c.surge = 0.4 + 0.4*s }},
	"mains-dip":         {"starting the pump dips the mains", 0.7, func(c *conditions, s float64) { c.mainsDip = 0.6 + 0.9*s }},
	"mains-interrupted": {"the mains go away now and then", 0.6, func(c *conditions, s float64) { c.interrupted = 300 - 250*s }},
	"no-supply":         {"no supply at the board", 1, func(c *conditions, _ float64) { c.noSupply = true }},
	"regulator":         {"board regulator dead", 1, func(c *conditions, _ float64) { c.logic = 2.4 }},
}

var pumpCauses = map[string]cause{
	"no-mains":        {"breaker or fuse of the pump circuit off", 1, func(c *conditions, _ float64) { c.noMains = true }},
	"thermal-trip":    {"motor overload trips", 1, func(c *conditions, _ float64) { c.overload = true }},
	"start-capacitor": {"motor capacitor dead: the motor hums", 1, func(c *conditions, _ float64) { c.deadCapacitor = true }},
	"motor-jam":       {"pump or motor jammed", 1, func(c *conditions, _ float64) { c.jammed = true }},
	"motor-dead":      {"motor winding open", 1, func(c *conditions, _ float64) { c.deadWinding = true }},
	"pump-cable":      {"pump cable or joint open", 1, func(c *conditions, _ float64) { c.openCable = true }},
	"source-empty":    {"source below the suction: pump on, no rise", 1, func(c *conditions, _ float64) { c.sourceLow = true }},
	"no-dry-guard":    {"nothing stops the pump when no water comes, and the source runs out", 1, func(c *conditions, _ float64) { c.sourceLow, c.noGuard = true, true }},
	"foot-valve":      {"foot valve leaks, the prime is lost", 1, func(c *conditions, _ float64) { c.footValve = true }},
	"air-leak":        {"air drawn in at the suction", 0.6, func(c *conditions, s float64) { c.airLeak = 0.2 + 0.4*s }},
	"strainer":        {"strainer blocked", 0.6, func(c *conditions, s float64) { c.suctionLoss = (1 + 5*s*s) * pipeResistance }},
	"valve-closed":    {"a valve is shut", 1, func(c *conditions, _ float64) { c.shut = true }},
	"pipe-burst":      {"delivery pipe burst", 1, func(c *conditions, _ float64) { c.burst = true }},
	"draw-high":       {"draw as large as the inflow", 0.6, func(c *conditions, s float64) { c.draw = (1.9 + 1.5*s) * perHour }},
	"impeller-worn":   {"pump worn", 0.6, func(c *conditions, s float64) { c.wear = 0.3 + 0.5*s }},
	"second-inflow":   {"water comes in by another way", 0.6, func(c *conditions, s float64) { c.inflow = (0.6 + 1.2*s) * perHour; c.startLevel = 1.0 }},
	"check-valve-leaks": {"check valve leaks back through the pump", 0.6, func(c *conditions, s float64) {
		c.back = (2 + 5*s) * perHour
		c.startLevel = levelAtFullSet - 0.02
		c.startsFilling = true
	}},
}

var programCauses = map[string]cause{
	"reset-loop":       {"the program restarts within seconds, over and over", 0.6, func(c *conditions, s float64) { c.loops, c.startLevel = max(0.02, 1.2-2*s), 1.0 }},
	"watchdog-restart": {"the program hangs now and then, its watchdog restarts it", 0.6, func(c *conditions, s float64) { c.hangsEvery, c.startLevel = 120-100*s, 1.0 }},
	"memory-runs-out":  {"the program runs a while and stops", 0.6, func(c *conditions, s float64) { c.stopsAfter = 90 - 70*s }},
	"hung-on":          {"program hung with the relay pulled in", 1, func(c *conditions, _ float64) { c.hangsOn = true }},
	"boot-strap":       {"wiring holds a start-up pin", 1, func(c *conditions, _ float64) { c.strapped, c.wrongTerminal = true, true }},
	"baud-wrong":       {"feed speed set wrong", 1, func(c *conditions, _ float64) { c.wrongBaud = true }},
	"port-resets":      {"opening the port restarts the board", 1, func(c *conditions, _ float64) { c.resetsOnOpen = true }},
	"charge-lead":      {"USB lead without data wires: no port", 1, func(c *conditions, _ float64) { c.refusal = "no-port" }},
	"port-wrong":       {"listening on another port", 1, func(c *conditions, _ float64) { c.otherPort = true }},
	"port-taken":       {"port held by another program", 1, func(c *conditions, _ float64) { c.refusal = "busy" }},
	"port-no-right":    {"no right to open the port", 1, func(c *conditions, _ float64) { c.refusal = "no-right" }},
	"tx-rx":            {"receive and transmit crossed", 1, func(c *conditions, _ float64) { c.deaf, c.wrongTerminal = true, true }},
	"serial-noise":     {"feed damaged by noise", 0.6, func(c *conditions, s float64) { c.garble = 0.0005 + 0.0025*s }},
	"feed-off":         {"the program prints only on a change", 1, func(c *conditions, _ float64) { c.quiet = true }},
	"program-gone":     {"program missing or dead", 1, func(c *conditions, _ float64) { c.noProgram = true }},
	"bus-stuck":        {"display bus stuck, the program waits for it", 1, func(c *conditions, _ float64) { c.busStuck = true }},
	"display-only":     {"display blank, controller alive", 1, func(c *conditions, _ float64) { c.displayDark = true }},
}
