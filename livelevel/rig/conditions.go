package rig

import "math"

// The invented installation when it was new: the figures of its site sheet.
const (
	faceHeight   = 1.75 // m, transducer face above the tank's bottom
	blankingDist = 0.25 // m
	sensorRange  = 4.5  // m
	fullMark     = 0.35 // m from the face
	emptyMark    = 1.70 // m from the face
	lowSet       = 40.0 // % of the height between the marks: the pump starts below
	fullSet      = 95.0 // %: the pump stops at or above
	confirmCount = 3

	levelAtLowSet  = faceHeight - emptyMark + lowSet/100*(emptyMark-fullMark)
	levelAtFullSet = faceHeight - emptyMark + fullSet/100*(emptyMark-fullMark)

	baseDraw = 0.06 / 3600 // m3/s: a drip line that runs all day
	canDraw  = 1.5 / 3600  // m3/s: now and then somebody fills a watering can
	canFrom  = 5.0         // s, the first one
	canFor   = 12.0        // s
	canEvery = 1800.0      // s
)

// conditions is everything about the installation that a fault can change, with what a technician
// does to it for a test. Zero values are the healthy ones unless healthy says otherwise.
type conditions struct {
	// where it starts
	startLevel    float64
	startsFilling bool

	// sensor and sound
	triggerOpen, sensorOff, inputDead bool
	sensorDrop                        float64 // V lost between board and sensor
	lossDB                            float64 // echo weakened by so much
	faceDB                            float64 // by what can be wiped off the face
	fogged                            bool    // the face looks wet
	web                               float64 // share of pings that meet a thing just before the face
	otherSensor, noDivider            bool
	nozzle, nearWall, wrongTerminal   bool
	fadeDB                            float64 // and by this times a slow random walk
	lost                              float64 // share of echoes lost for other reasons
	fixed                             [4]target
	stream                            float64 // share of pings that meet the inlet stream while it runs
	twice                             float64 // share of second bounces taken when nearly full
	cross                             float64 // share of pings that hear another sensor
	noise                             float64 // share of pings upset by the running motor
	loose                             float64 // share of time in which the sensor cable has no contact
	damp                              float64 // leak across a wet joint, 0..1
	foam                              float64 // m of foam on the water
	tilt                              float64 // rad
	hears                             float64 // m, as far as the sensor hears
	waves                             float64 // m rms on still water
	inletWaves                        float64 // m rms added while water comes in
	sunk                              float64 // m by which the face hangs lower than recorded; negative: higher
	pingEvery                         float64 // s
	board50                           float64 // m: a board held square under the sensor, 0 none

	// the controller's program and settings
	scale                   float64 // of distance
	fixedSpeed              float64 // m/s used without looking at the air; 0 corrected
	wrongKind, mixedUnits   bool
	full, empty             float64 // taught marks, m; NaN lost
	low, fullSet            float64 // %
	onLost                  string
	manual, inverted        bool
	minOff                  float64 // s
	volumeFactor            float64
	hangsEvery              float64 // s of running until it hangs and the watchdog bites
	stopsAfter              float64 // s of running until it stops for good
	loops                   float64 // s of running until it restarts
	hangsOn                 bool
	noProgram, strapped     bool
	busStuck, displayDark   bool
	quiet                   bool
	buttonFloats, demandHop float64 // edges a second
	buttonHeld, pressed     bool

	// relay
	baseResistor, coilOhms, coilVolts float64
	gain                              float64 // of the transistor
	coilOpen, shorted, noDiode        bool
	diodeReversed, leadOff            bool
	welded, burnt, sticky             bool
	normallyClosed, pullUp            bool

	// supply
	cableOhms, psuOhms float64
	surge              float64 // V by which the supply dips as the relay pulls in
	mainsDip           float64 // V by which it dips as the motor starts
	interrupted        float64 // s between interruptions, 0 none
	blips              float64 // s between short interruptions of the board's supply
	noSupply           bool
	logic              float64 // V

	// pump and pipes
	noMains, overload, deadCapacitor bool
	jammed, deadWinding, openCable   bool
	isolated, override               bool
	sourceLow                        bool    // the source sinks below the suction while the pump draws
	noGuard                          bool    // nothing stops the motor when it runs light
	suctionLoss                      float64 // extra pipe resistance, m/(m3/s)^2
	pipeLoss                         float64
	shut, burst                      bool
	airLeak, wear                    float64
	footValve                        bool
	draw, cans, inflow, back         float64 // m3/s
	leakArea                         float64 // m2 of hole at the bottom
	overflow, outlet                 float64 // m
	floods                           bool    // somebody fills the tank to the overflow

	// serial line
	refusal                 string
	wrongBaud, deaf         bool
	garble                  float64 // share of bytes damaged while the pump runs; a fifth of it else
	resetsOnOpen, otherPort bool
}

// target is something else than water that sends an echo.
type target struct{ at, share float64 }

func healthy() conditions {
	return conditions{
		lost: 0.002, hears: sensorRange, waves: 0.0008, inletWaves: 0.0010, pingEvery: 0.1,
		scale: 1, full: fullMark, empty: emptyMark, low: lowSet, fullSet: fullSet, onLost: "holds", volumeFactor: 1,
		baseResistor: 390, coilOhms: 70, coilVolts: 5, gain: gain,
		cableOhms: cableResistance(6, 39), psuOhms: 0.08, surge: 0.06, logic: 3.3,
		draw: baseDraw, cans: canDraw, overflow: 1.55, outlet: 0.04,
	}
}

// echoFrom adds a fixed target, at most as many as there is room for.
func (c *conditions) echoFrom(at, share float64) {
	for k := range c.fixed {
		if c.fixed[k].share == 0 {
			c.fixed[k] = target{at, share}
			return
		}
	}
}

func (c *conditions) marksLost() bool { return math.IsNaN(c.full) || math.IsNaN(c.empty) }
