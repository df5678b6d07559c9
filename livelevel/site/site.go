// Package site holds the site sheet: what is installed at one tank, parsed and checked.
//
// A sheet may leave out nearly everything. What it leaves out is Unknown, or Assumed where there is a
// documented default (see presets.go); every fact carries which, so that whoever computes with it
// can print it. A word that is not given is "unknown".
package site

import (
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/sheet"
	"example.org/tankhand/livelevel/tank"
)

// Origin says where a fact comes from; limits computed from it print which.
type Origin uint8

// The origins. A fact with origin Unknown has no value.
const (
	Unknown  Origin = iota
	Assumed         // a documented default or a preset, not from this site
	Given           // written in the sheet without saying how it was got
	Label           // read off a label or plate
	Measured        // measured on site
)

var originNames = [...]string{"unknown", "assumed", "given", "label", "measured"}

// String is the origin's word, as it may stand in brackets after a quantity of the sheet.
func (o Origin) String() string {
	if int(o) < len(originNames) {
		return originNames[o]
	}
	return "?"
}

// Fact is one quantity of the sheet with its origin and place.
type Fact struct {
	quantity.Quantity
	Origin Origin
	Place  sheet.Place
	// Stated tells that the uncertainty stands in the sheet; otherwise it is a documented default,
	// or none. Of an Unknown fact it tells that the sheet calls it so: no preset is taken then.
	Stated bool
}

// Known tells whether the fact has a value.
func (f Fact) Known() bool { return f.Origin != Unknown }

// Or returns the value, or def where it is unknown.
func (f Fact) Or(def float64) float64 {
	if f.Known() {
		return f.V
	}
	return def
}

// Mark is low_set or full_set: a share of the height between the marks, or a distance from the face.
type Mark struct {
	Fact // Dim is quantity.Ratio (0..1) or quantity.Length
}

// Sheet is one installation. Lengths in metres, volumes in cubic metres, all SI.
type Sheet struct {
	File          string
	Site, Asset   string
	DrinkingWater string // yes, no, unknown
	Tank          Tank
	Sensor        Sensor
	Marks         Marks
	Controller    Controller
	Pump          PumpFacts
	Relay         Relay
	Supply        Supply
	EchoLine      EchoLine
	Buttons       Buttons
	Dialect       string
	// Limits are a firm's own grade limits, by CHECK.WORD.
	Limits map[string]Fact
}

// Tank is the vessel. Shape is nil when unknown.
type Tank struct {
	Kind                                string
	Shape                               tank.Shape
	Height, Overflow, Outlet            Fact
	Diameter, Length, Width, ConeHeight Fact
	HeadDepth, BottomDepth              Fact
	Heads                               string // of a horizontal cylinder: flat, ellipsoidal, torispherical, ...
	Rows                                []tank.Row
}

// Sensor is the ultrasonic ranger and its mounting.
type Sensor struct {
	Kind                                            string // open pair | sealed single
	FaceHeight, Blanking, Range, BeamHalfAngle      Fact
	WallDistance, PingInterval, SupplyVoltage       Fact
	AssumedSpeed, AirTemperature, AirHumidity, Tilt Fact
}

// Marks is what the controller was taught: distances from the sensor face, and where it switches.
type Marks struct {
	Full, Empty     Fact
	LowSet, FullSet Mark
}

// Controller is the board and its settings.
type Controller struct {
	Control         string // auto | manual
	LogicVoltage    Fact
	Confirm         Fact // readings
	MinOff, MinOn   Fact
	OnLostEcho      string // holds | stops | starts | unknown
	MainsInBox      string // yes | no | unknown; unknown counts as yes
	FeedPowersBoard string
	RestartDelay    Fact
}

// PumpFacts are the pump's plate and its health.
type PumpFacts struct {
	HealthyFlow, RatedFlow, MotorPower, MotorVoltage, Phases, MotorPoles Fact
	RunningCurrent, Capacitor, SuctionLift                               Fact
	DryGuard                                                             string // none | level | float | flow | current
}

// Relay is the relay and its driver.
type Relay struct {
	CoilVoltage, CoilResistance, ContactCurrent, PinVoltage, BaseResistor, TransistorGain Fact
	Diode, Active, Drives                                                                 string
}

// Supply feeds the board.
type Supply struct{ Voltage, CableLength, CableArea, BoardCurrent, BrownOut Fact }

// EchoLine is the conductor from the sensor's echo to the board's input.
type EchoLine struct{ High, TopResistor, BottomResistor, InputLimit Fact }

// Buttons are the inputs.
type Buttons struct {
	PullUp         Fact
	InternalPullUp string
}
