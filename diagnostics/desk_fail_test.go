package diagnostics

import (
	"math"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
)

// Each case spoils the good installation in one way and names the finding that must follow.
func TestDeskFindsWhatIsWrong(t *testing.T) {
	cases := []struct {
		check, name string
		spoil       func(*site.Sheet)
		why, change string // parts of the texts
		figure      string
		want        float64 // of the figure, worked by hand
	}{
		{"beam-clearance", "30 degrees", func(s *site.Sheet) { s.Sensor.BeamHalfAngle.V = 30 * math.Pi / 180 },
			"meets the wall 0.6928 m below", "0.9815 m or more from the wall", "footprint_radius_m", 0.98150}, // 1.70 m tan 30 deg
		{"blanking-margin", "full inside", func(s *site.Sheet) { s.Marks.Full.V = 0.20 },
			"nearer than 0.25 m", "raise the sensor by 70 mm", "margin_m", -0.05},
		{"range-margin", "too short", func(s *site.Sheet) { s.Sensor.Range.V = 1.5 }, "farthest water is at 1.75 m", "range of 1.925 m", "margin_m", -0.25},
		{"ping-interval", "too quick", func(s *site.Sheet) { s.Sensor.PingInterval.V = 0.02 }, "pings every 20 ms", "every 60 ms", "interval_s", 0.02},
		{"temperature-effect", "cold air", func(s *site.Sheet) { s.Sensor.AirTemperature.V, s.Sensor.AirHumidity.V = 0, 0 },
			"makes 1.7 m read 1.775 m", "divide by 331.4", "error_now_m", 1.70 * (346/331.45 - 1)}, // c of J. Acoust. Soc. Am. 93:2510: 331.45 at 0 degC, dry
		{"relay-drive", "gain 40", func(s *site.Sheet) { s.Relay.BaseResistor.V, s.Relay.TransistorGain.V = 1000, 40 },
			"above half the stated 40", "390 ohm in place of 1 kohm gives a forced gain of 10", "forced_gain", 26.374}, // relay_driver.csv
		{"contact-rating", "large motor", func(s *site.Sheet) { s.Pump.RunningCurrent.V = 6.9 }, "41 A at the start", "contactor", "share_of_rating", 0.69},
		{"contact-rating", "by power", func(s *site.Sheet) { s.Pump.RunningCurrent, s.Pump.MotorPower.V = site.Fact{}, 745.7 },
			"48 A at the start", "contactor", "motor_current_a", 8}, // NEC table 430.248: 1 hp at 230 V
		{"diode", "missing", func(s *site.Sheet) { s.Relay.Diode = "missing" }, "no diode", "cathode to the positive supply", "kick_v", 2259}, // flyback.csv
		{"cable-drop", "thin and long", func(s *site.Sheet) { s.Supply.CableLength.V, s.Supply.CableArea.V = 20, 0.5e-6 },
			"with the relay in", "1 mm2 takes 0.24 V", "drop_v", 2 * 20 * 0.039 * (0.24 + 4.8/70)},
		{"supply-budget", "brown-out", func(s *site.Sheet) { s.Supply.CableLength.V, s.Supply.CableArea.V = 30, 0.5e-6 },
			"restarts below 4.30 V", "raise the board to", "board_v", 5 - 2*30*0.039*(0.24+4.8/70)},
		{"supply-budget", "hot coil", func(s *site.Sheet) { s.Supply.BrownOut.V, s.Supply.CableLength.V = 3, 40 },
			"a hot coil needs 4.54 V", "raise the board", "hot_operate_v", 4.3395 + 0.2}, // coil_temperature.csv at 60 degC, plus the transistor
		{"echo-divider", "no divider", func(s *site.Sheet) { s.EchoLine.TopResistor.V, s.EchoLine.BottomResistor.V = 100, 10000 },
			"more than it bears", "1 kohm over 2 kohm gives 3.33 V", "input_v", 5 * 10000.0 / 10100},
		{"echo-divider", "too low", func(s *site.Sheet) { s.EchoLine.TopResistor.V, s.EchoLine.BottomResistor.V = 2000, 1000 },
			"too low", "1 kohm over 2 kohm", "least_echo_v", 7.425},
		{"pull-ups", "floats", func(s *site.Sheet) { s.Buttons.PullUp = site.Fact{} }, "float", "10 kohm", "pull_up_ohm", math.NaN()},
		{"pull-ups", "weak", func(s *site.Sheet) { s.Buttons.PullUp.V = 470e3 }, "too weak", "10 kohm", "pull_up_ohm", 470e3},
		{"pump-cycle", "narrow band", func(s *site.Sheet) { s.Marks.LowSet.V = 0.94 }, "starts an hour", "l between start and stop gives 15", "starts_per_h_worst",
			3600 / (4 * 0.0135 * math.Pi / 4 * 1.21 / (2.3 / 3600))}, // MIL-HDBK-1005/9A: T = 4V/Q
		{"pump-cycle", "no band", func(s *site.Sheet) { s.Marks.LowSet.V = 0.96 }, "no water between", "below the stop", "", 0},
		{"suction-lift", "too high", func(s *site.Sheet) { s.Pump.SuctionLift.V = 8 }, "lifts 8 m", "1.3 m lower", "theoretical_m", 10.112}, // suction_limit.csv
		{"marks-sane", "swapped", func(s *site.Sheet) { s.Marks.Full, s.Marks.Empty = s.Marks.Empty, s.Marks.Full }, "swapped", "anew", "", 0},
		{"marks-sane", "in blanking", func(s *site.Sheet) { s.Marks.Full.V = 0.2 }, "inside the blanking distance", "raise", "", 0},
		{"marks-sane", "above overflow", func(s *site.Sheet) { s.Tank.Overflow.V = 1.3 }, "above the overflow", "0.47 m", "", 0},
		{"marks-sane", "below the bottom", func(s *site.Sheet) { s.Marks.Empty.V = 1.9 }, "below the tank's bottom", "anew", "", 0},
		{"marks-sane", "low above full", func(s *site.Sheet) { s.Marks.LowSet.V = 1 }, "start above where it stops", "below the stop", "", 0},
		{"marks-sane", "low under outlet", func(s *site.Sheet) { s.Tank.Outlet.V = 0.9 }, "below the outlet", "0.95 m", "", 0},
	}
	for _, c := range cases {
		t.Run(c.check+" "+c.name, func(t *testing.T) {
			s := greenhouse(t)
			c.spoil(s)
			f := findingOf(t, s, c.check)
			assert.Equal(t, Fail, f.Verdict, f.Why+f.Missing)
			assert.Contains(t, f.Why, c.why)
			assert.Contains(t, f.Change, c.change)
			if c.figure == "" {
				return
			}
			got := figureOf(t, f, c.figure)
			if math.IsNaN(c.want) {
				assert.True(t, math.IsNaN(got))
				return
			}
			assert.InDelta(t, c.want, got, 1e-3*max(1, math.Abs(c.want)))
		})
	}
}

// A check that needs a fact cannot tell without it, and names it.
func TestDeskCannotTellWithoutAFact(t *testing.T) {
	facts := map[string]struct {
		path  string
		clear func(*site.Sheet)
	}{
		"beam-clearance":     {"sensor.wall_distance", func(s *site.Sheet) { s.Sensor.WallDistance = site.Fact{} }},
		"blanking-margin":    {"marks.full", func(s *site.Sheet) { s.Marks.Full = site.Fact{} }},
		"range-margin":       {"sensor.range", func(s *site.Sheet) { s.Sensor.Range = site.Fact{} }},
		"ping-interval":      {"sensor.ping_interval", func(s *site.Sheet) { s.Sensor.PingInterval = site.Fact{} }},
		"temperature-effect": {"sensor.air_temperature", func(s *site.Sheet) { s.Sensor.AirTemperature.Origin = site.Assumed }},
		"contact-rating":     {"relay.drives", func(s *site.Sheet) { s.Relay.Drives = "unknown" }},
		"diode":              {"relay.diode", func(s *site.Sheet) { s.Relay.Diode = "unknown" }},
		"cable-drop":         {"supply.cable_area", func(s *site.Sheet) { s.Supply.CableArea = site.Fact{} }},
		"supply-budget":      {"supply.brown_out", func(s *site.Sheet) { s.Supply.BrownOut = site.Fact{} }},
		"echo-divider":       {"echo_line.top_resistor", func(s *site.Sheet) { s.EchoLine.TopResistor = site.Fact{} }},
		"pull-ups":           {"buttons.pull_up", func(s *site.Sheet) { s.Buttons = site.Buttons{InternalPullUp: "unknown"} }},
		"pump-cycle":         {"tank", func(s *site.Sheet) { s.Tank.Shape = nil }},
		"suction-lift":       {"pump.suction_lift", func(s *site.Sheet) { s.Pump.SuctionLift = site.Fact{} }},
		"marks-sane":         {"marks.empty", func(s *site.Sheet) { s.Marks.Empty = site.Fact{} }},
		"relay-drive":        {"relay.coil_resistance", func(s *site.Sheet) { s.Relay.CoilResistance = site.Fact{} }},
	}
	for check, c := range facts {
		t.Run(check, func(t *testing.T) {
			s := greenhouse(t)
			c.clear(s)
			f := findingOf(t, s, check)
			assert.Equal(t, CannotTell, f.Verdict, f.Why)
			assert.Contains(t, f.Missing, c.path+": ", "how to find it")
			assert.Contains(t, f.Why, c.path)
		})
	}
}

func TestRelayDriveInBetween(t *testing.T) {
	s := greenhouse(t)
	s.Relay.BaseResistor.V = 1000
	f := findingOf(t, s, "relay-drive")
	assert.Equal(t, Pass, f.Verdict)
	assert.Contains(t, f.Why, "marginal")
	assert.Contains(t, f.Change, "390 ohm")
	s.Relay.TransistorGain = site.Fact{}
	f = findingOf(t, s, "relay-drive")
	assert.Equal(t, CannotTell, f.Verdict)
	assert.Contains(t, f.Missing, "relay.transistor_gain")
}

// Half the stated gain is the limit below 20, too.
func TestRelayDriveOfALowGain(t *testing.T) {
	s := greenhouse(t)
	s.Relay.TransistorGain.V = 15
	f := findingOf(t, s, "relay-drive")
	assert.Equal(t, Fail, f.Verdict)
	assert.Contains(t, f.Why, "half the stated 15")
}

func TestContactRatingCountsTheStarts(t *testing.T) {
	s := greenhouse(t)
	cycle := figureOf(t, findingOf(t, s, "pump-cycle"), "starts_per_h_worst")
	f := findingOf(t, s, "contact-rating")
	assert.InDelta(t, cycle*8760, figureOf(t, f, "starts_per_year_worst"), 1e-6)
}

func TestMarksSaneSaysWhatItDidNotSee(t *testing.T) {
	s := greenhouse(t)
	s.Tank.Overflow = site.Fact{}
	f := findingOf(t, s, "marks-sane")
	assert.Equal(t, Pass, f.Verdict)
	assert.Contains(t, f.Why, "the overflow")
}

func TestContactorSparesTheContact(t *testing.T) {
	s := greenhouse(t)
	s.Relay.Drives, s.Relay.ContactCurrent = "contactor", site.Fact{}
	assert.Equal(t, Pass, findingOf(t, s, "contact-rating").Verdict)
}

// NEMA MG 10, table 2-3: 5 hp and 2 poles, 8.1 starts an hour.
func TestPumpCycleOfAThreePhaseMotor(t *testing.T) {
	s := greenhouse(t)
	s.Pump.Phases.V, s.Pump.MotorPoles, s.Pump.MotorPower.V = 3, deskFact(2, quantity.Number), 3700
	f := findingOf(t, s, "pump-cycle")
	assert.Contains(t, f.Limit, "at most 8.1 starts")
	assert.Contains(t, f.Source, "NEMA MG 10")
}

// Limits name where each fact comes from.
func TestDeskPrintsOrigins(t *testing.T) {
	s := greenhouse(t)
	s.Relay.CoilResistance.Origin = site.Label
	s.Relay.BaseResistor.Origin = site.Measured
	s.Relay.TransistorGain.Origin = site.Assumed
	f := findingOf(t, s, "relay-drive")
	for _, want := range []string{"coil_resistance 70 ohm (label)", "base_resistor 390 ohm (measured)", "transistor_gain 110 (assumed)", "pin_voltage 3.3 V (given)"} {
		assert.Contains(t, f.Limit, want)
	}
}

// Values that no installation has must not panic or pass for sane.
func TestDeskSurvivesNonsense(t *testing.T) {
	for _, v := range []float64{0, -1, 1e300, math.Inf(1), math.NaN()} {
		s := greenhouse(t)
		for _, f := range []*site.Fact{&s.Sensor.FaceHeight, &s.Sensor.BeamHalfAngle, &s.Marks.Full, &s.Relay.BaseResistor, &s.Relay.CoilResistance,
			&s.Supply.CableArea, &s.EchoLine.BottomResistor, &s.Pump.HealthyFlow, &s.Pump.RunningCurrent, &s.Relay.ContactCurrent} {
			old := *f
			f.V = v
			for _, got := range Desk(s) {
				assert.Len(t, Desk(s), 15)
				assert.NotEmpty(t, got.Check)
			}
			*f = old
		}
	}
}

// A technician who thinks in inches and gallons reads no metre anywhere in the words; the figures stay SI.
func TestDeskSpeaksTheTechniciansUnits(t *testing.T) {
	metric := regexp.MustCompile(`[0-9] (m|mm|l|m3|m/s|degC|m3/h|litres)\b`)
	s := greenhouse(t)
	s.Sensor.WallDistance.V, s.Marks.LowSet.V, s.Marks.Full.V, s.Pump.SuctionLift.V = 0.1, 0.94, 0.1, 8
	s.Sensor.AssumedSpeed.V, s.Sensor.Range.V = 330, 1.2
	plain := Desk(s)
	for i, f := range DeskIn(s, quantity.US) {
		assert.Equal(t, plain[i].Verdict, f.Verdict, f.Check)
		assert.Equal(t, plain[i].Figures, f.Figures, f.Check)
		for _, text := range []string{f.Why, f.Limit, f.Change} {
			assert.NotRegexp(t, metric, text, f.Check)
		}
	}
}
