package site

import (
	"math"

	"example.org/tankhand/livelevel/quantity"
)

// Schema is the first line of every site sheet.
const Schema = "tankhand/site/1"

const unknown = "unknown"

// field is one quantity of the sheet: where it stands, what it may be, and what is taken for its
// uncertainty where the sheet says none.
type field struct {
	path     string
	dim      quantity.Dim
	low, top float64 // bounds in SI of what is possible at all
	open     bool    // low itself is impossible: a size
	// spread is the half-width of the default uncertainty, in SI or, where relative is set, as a
	// share of the value. Rectangular, see package quantity.
	spread   float64
	relative bool
	get      func(*Sheet) *Fact
}

// word is one fact of the sheet that is a word out of a few.
type word struct {
	path    string
	allowed []string
	get     func(*Sheet) *string
}

func size(path string, top float64, get func(*Sheet) *Fact) field {
	return field{path: path, dim: quantity.Length, low: 0.001, top: top, open: true, get: get}
}

func distance(path string, top float64, get func(*Sheet) *Fact) field {
	return field{path: path, dim: quantity.Length, top: top, get: get}
}

func above(path string, dim quantity.Dim, top float64, get func(*Sheet) *Fact) field {
	return field{path: path, dim: dim, top: top, open: true, get: get}
}

func from(path string, dim quantity.Dim, low, top float64, get func(*Sheet) *Fact) field {
	return field{path: path, dim: dim, low: low, top: top, get: get}
}

// within gives a field a default uncertainty, ± half.
func (f field) within(half float64) field { f.spread = half; return f }

// about gives a field a default uncertainty relative to its value.
func (f field) about(share float64) field { f.spread, f.relative = share, true; return f }

const degree = math.Pi / 180

// The default uncertainties: a tape measures to 5 mm, the plate or drawing of a tank holds within
// 1 %, an air temperature is known to 2 K and a humidity to 10 %; data sheets round to 10 %. Common
// practice, no source. What the controller was taught is exact: it is what it computes with.
var fields = []field{
	size("tank.diameter", 50, func(s *Sheet) *Fact { return &s.Tank.Diameter }).about(0.01),
	size("tank.height", 50, func(s *Sheet) *Fact { return &s.Tank.Height }).about(0.01),
	size("tank.length", 50, func(s *Sheet) *Fact { return &s.Tank.Length }).about(0.01),
	size("tank.width", 50, func(s *Sheet) *Fact { return &s.Tank.Width }).about(0.01),
	size("tank.cone_height", 50, func(s *Sheet) *Fact { return &s.Tank.ConeHeight }).about(0.01),
	size("tank.bottom_depth", 50, func(s *Sheet) *Fact { return &s.Tank.BottomDepth }).about(0.01),
	size("tank.head_depth", 50, func(s *Sheet) *Fact { return &s.Tank.HeadDepth }).about(0.01),
	size("tank.overflow", 50, func(s *Sheet) *Fact { return &s.Tank.Overflow }).within(0.005),
	distance("tank.outlet", 50, func(s *Sheet) *Fact { return &s.Tank.Outlet }).within(0.005),

	size("sensor.face_height", 50, func(s *Sheet) *Fact { return &s.Sensor.FaceHeight }).within(0.005),
	distance("sensor.blanking", 5, func(s *Sheet) *Fact { return &s.Sensor.Blanking }).about(0.1),
	size("sensor.range", 50, func(s *Sheet) *Fact { return &s.Sensor.Range }).about(0.1),
	from("sensor.beam_half_angle", quantity.Angle, 0, 80*degree, func(s *Sheet) *Fact { return &s.Sensor.BeamHalfAngle }).about(0.2),
	distance("sensor.wall_distance", 50, func(s *Sheet) *Fact { return &s.Sensor.WallDistance }).within(0.005),
	above("sensor.ping_interval", quantity.Time, 3600, func(s *Sheet) *Fact { return &s.Sensor.PingInterval }),
	above("sensor.supply_voltage", quantity.Voltage, 60, func(s *Sheet) *Fact { return &s.Sensor.SupplyVoltage }),
	from("sensor.assumed_speed", quantity.Speed, 250, 450, func(s *Sheet) *Fact { return &s.Sensor.AssumedSpeed }),
	from("sensor.air_temperature", quantity.Temperature, -60, 90, func(s *Sheet) *Fact { return &s.Sensor.AirTemperature }).within(2),
	from("sensor.air_humidity", quantity.Ratio, 0, 1, func(s *Sheet) *Fact { return &s.Sensor.AirHumidity }).within(0.1),
	from("sensor.tilt", quantity.Angle, 0, 80*degree, func(s *Sheet) *Fact { return &s.Sensor.Tilt }).within(1 * degree),

	distance("marks.full", 50, func(s *Sheet) *Fact { return &s.Marks.Full }),
	distance("marks.empty", 50, func(s *Sheet) *Fact { return &s.Marks.Empty }),

	above("controller.logic_voltage", quantity.Voltage, 24, func(s *Sheet) *Fact { return &s.Controller.LogicVoltage }),
	from("controller.confirm", quantity.Number, 1, 1000, func(s *Sheet) *Fact { return &s.Controller.Confirm }),
	from("controller.min_off", quantity.Time, 0, 86400, func(s *Sheet) *Fact { return &s.Controller.MinOff }),
	from("controller.min_on", quantity.Time, 0, 86400, func(s *Sheet) *Fact { return &s.Controller.MinOn }),
	from("controller.restart_delay", quantity.Time, 0, 86400, func(s *Sheet) *Fact { return &s.Controller.RestartDelay }),

	above("pump.healthy_flow", quantity.Flow, 1, func(s *Sheet) *Fact { return &s.Pump.HealthyFlow }).about(0.1),
	above("pump.rated_flow", quantity.Flow, 1, func(s *Sheet) *Fact { return &s.Pump.RatedFlow }).about(0.1),
	above("pump.motor_power", quantity.Power, 1e6, func(s *Sheet) *Fact { return &s.Pump.MotorPower }),
	above("pump.motor_voltage", quantity.Voltage, 1000, func(s *Sheet) *Fact { return &s.Pump.MotorVoltage }),
	from("pump.phases", quantity.Number, 1, 3, func(s *Sheet) *Fact { return &s.Pump.Phases }),
	from("pump.motor_poles", quantity.Number, 2, 24, func(s *Sheet) *Fact { return &s.Pump.MotorPoles }),
	above("pump.running_current", quantity.Current, 1000, func(s *Sheet) *Fact { return &s.Pump.RunningCurrent }),
	above("pump.capacitor", quantity.Capacitance, 0.01, func(s *Sheet) *Fact { return &s.Pump.Capacitor }),
	from("pump.suction_lift", quantity.Length, -50, 50, func(s *Sheet) *Fact { return &s.Pump.SuctionLift }),

	above("relay.coil_voltage", quantity.Voltage, 500, func(s *Sheet) *Fact { return &s.Relay.CoilVoltage }),
	above("relay.coil_resistance", quantity.Resistance, 1e6, func(s *Sheet) *Fact { return &s.Relay.CoilResistance }).about(0.1),
	above("relay.contact_current", quantity.Current, 1000, func(s *Sheet) *Fact { return &s.Relay.ContactCurrent }),
	above("relay.pin_voltage", quantity.Voltage, 60, func(s *Sheet) *Fact { return &s.Relay.PinVoltage }),
	above("relay.base_resistor", quantity.Resistance, 1e6, func(s *Sheet) *Fact { return &s.Relay.BaseResistor }),
	from("relay.transistor_gain", quantity.Number, 1, 1e5, func(s *Sheet) *Fact { return &s.Relay.TransistorGain }),

	above("supply.voltage", quantity.Voltage, 100, func(s *Sheet) *Fact { return &s.Supply.Voltage }),
	from("supply.cable_length", quantity.Length, 0, 1000, func(s *Sheet) *Fact { return &s.Supply.CableLength }),
	above("supply.cable_area", quantity.Area, 1e-3, func(s *Sheet) *Fact { return &s.Supply.CableArea }),
	above("supply.board_current", quantity.Current, 100, func(s *Sheet) *Fact { return &s.Supply.BoardCurrent }),
	above("supply.brown_out", quantity.Voltage, 100, func(s *Sheet) *Fact { return &s.Supply.BrownOut }),

	above("echo_line.high", quantity.Voltage, 60, func(s *Sheet) *Fact { return &s.EchoLine.High }),
	from("echo_line.top_resistor", quantity.Resistance, 0, 1e8, func(s *Sheet) *Fact { return &s.EchoLine.TopResistor }),
	above("echo_line.bottom_resistor", quantity.Resistance, 1e8, func(s *Sheet) *Fact { return &s.EchoLine.BottomResistor }),
	above("echo_line.input_limit", quantity.Voltage, 60, func(s *Sheet) *Fact { return &s.EchoLine.InputLimit }),

	above("buttons.pull_up", quantity.Resistance, 1e8, func(s *Sheet) *Fact { return &s.Buttons.PullUp }),
}

var yesNo = []string{"yes", "no"}

var words = []word{
	{"drinking_water", yesNo, func(s *Sheet) *string { return &s.DrinkingWater }},
	{"tank.heads", []string{"flat", "ellipsoidal", "torispherical", "hemispherical", "spherical cap"}, func(s *Sheet) *string { return &s.Tank.Heads }},
	{"sensor.kind", []string{"open pair", "sealed single"}, func(s *Sheet) *string { return &s.Sensor.Kind }},
	{"controller.control", []string{"auto", "manual"}, func(s *Sheet) *string { return &s.Controller.Control }},
	{"controller.on_lost_echo", []string{"holds", "stops", "starts"}, func(s *Sheet) *string { return &s.Controller.OnLostEcho }},
	{"controller.mains_in_box", yesNo, func(s *Sheet) *string { return &s.Controller.MainsInBox }},
	{"controller.feed_powers_board", yesNo, func(s *Sheet) *string { return &s.Controller.FeedPowersBoard }},
	{"pump.dry_guard", []string{"none", "level", "float", "flow", "current"}, func(s *Sheet) *string { return &s.Pump.DryGuard }},
	{"relay.diode", []string{"fitted", "missing"}, func(s *Sheet) *string { return &s.Relay.Diode }},
	{"relay.active", []string{"high", "low"}, func(s *Sheet) *string { return &s.Relay.Active }},
	{"relay.drives", []string{"motor", "contactor"}, func(s *Sheet) *string { return &s.Relay.Drives }},
	{"buttons.internal_pull_up", yesNo, func(s *Sheet) *string { return &s.Buttons.InternalPullUp }},
}

// marks are the two facts that may be a percentage or a distance.
var marks = []struct {
	path string
	get  func(*Sheet) *Mark
}{
	{"marks.low_set", func(s *Sheet) *Mark { return &s.Marks.LowSet }},
	{"marks.full_set", func(s *Sheet) *Mark { return &s.Marks.FullSet }},
}

// sections in the order of the file.
var sections = []string{"tank", "sensor", "marks", "controller", "pump", "relay", "supply", "echo_line", "buttons"}

var byPath = func() map[string]func(*Sheet) *Fact {
	m := map[string]func(*Sheet) *Fact{}
	for _, f := range fields {
		m[f.path] = f.get
	}
	for _, mark := range marks {
		m[mark.path] = func(s *Sheet) *Fact { return &mark.get(s).Fact }
	}
	return m
}()

// KnownPath tells whether a path, such as sensor.supply_voltage, is a quantity of the sheet.
func KnownPath(path string) bool { return byPath[path] != nil }

// Lookup returns the SI value of the quantity at a path of the sheet (a percentage as a share) and
// where it comes from; not ok where it is unknown or no such path exists. A nil sheet knows nothing.
func (s *Sheet) Lookup(path string) (v float64, origin Origin, ok bool) {
	get := byPath[path]
	if get == nil || s == nil {
		return 0, Unknown, false
	}
	f := get(s)
	return f.V, f.Origin, f.Known()
}
