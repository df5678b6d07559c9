package diagnostics

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/livelevel/tank"
)

func given(v float64, dim quantity.Dim) site.Fact {
	return site.Fact{Quantity: quantity.Of(v, dim), Origin: site.Given}
}

func mark(v float64, dim quantity.Dim) site.Mark { return site.Mark{Fact: given(v, dim)} }

// greenhouse is the sheet of an invented installation in good order.
func greenhouse(t *testing.T) *site.Sheet {
	t.Helper()
	shape, err := tank.VerticalCylinder(1.10, 1.60)
	require.NoError(t, err)
	const m, v, ohm = quantity.Length, quantity.Voltage, quantity.Resistance
	s := &site.Sheet{}
	s.Tank = site.Tank{Shape: shape, Height: given(1.60, m), Overflow: given(1.55, m), Outlet: given(0.10, m), Diameter: given(1.10, m)}
	s.Sensor = site.Sensor{FaceHeight: given(1.75, m), Blanking: given(0.25, m), Range: given(4.5, m),
		BeamHalfAngle: given(10*math.Pi/180, quantity.Angle), WallDistance: given(0.40, m), PingInterval: given(0.1, quantity.Time),
		AssumedSpeed: given(346, quantity.Speed), AirTemperature: given(24, quantity.Temperature), AirHumidity: given(0.9, quantity.Ratio)}
	s.Marks = site.Marks{Full: given(0.35, m), Empty: given(1.70, m), LowSet: mark(0.4, quantity.Ratio), FullSet: mark(0.95, quantity.Ratio)}
	s.Controller.LogicVoltage = given(3.3, v)
	s.Pump = site.PumpFacts{HealthyFlow: given(2.3/3600, quantity.Flow), MotorPower: given(370, quantity.Power), MotorVoltage: given(230, v),
		Phases: given(1, quantity.Number), RunningCurrent: given(2.8, quantity.Current), SuctionLift: given(2, m)}
	s.Relay = site.Relay{CoilVoltage: given(5, v), CoilResistance: given(70, ohm), ContactCurrent: given(10, quantity.Current),
		PinVoltage: given(3.3, v), BaseResistor: given(390, ohm), TransistorGain: given(110, quantity.Number), Diode: "fitted", Drives: "motor"}
	s.Supply = site.Supply{Voltage: given(5, v), CableLength: given(6, m), CableArea: given(0.75e-6, quantity.Area),
		BoardCurrent: given(0.24, quantity.Current), BrownOut: given(4.3, v)}
	s.EchoLine = site.EchoLine{High: given(5, v), TopResistor: given(1000, ohm), BottomResistor: given(2000, ohm), InputLimit: given(3.6, v)}
	s.Buttons = site.Buttons{PullUp: given(10e3, ohm), InternalPullUp: "no"}
	return s
}

func findingOf(t *testing.T, s *site.Sheet, check string) Finding {
	t.Helper()
	for _, f := range Desk(s) {
		if f.Check == check {
			return f
		}
	}
	require.Fail(t, "no such check", check)
	return Finding{}
}

func figureOf(t *testing.T, f Finding, name string) float64 {
	t.Helper()
	for _, x := range f.Figures {
		if x.Name == name {
			return x.Value
		}
	}
	require.Fail(t, "no such figure", name)
	return 0
}

func TestDeskOrder(t *testing.T) {
	want := strings.Fields("beam-clearance blanking-margin range-margin ping-interval temperature-effect relay-drive contact-rating " +
		"diode cable-drop supply-budget echo-divider pull-ups pump-cycle suction-lift marks-sane")
	var got []string
	for _, f := range Desk(nil) {
		got = append(got, f.Check)
		assert.Equal(t, CannotTell, f.Verdict, "%s of an empty sheet", f.Check)
		assert.NotEmpty(t, f.Missing, f.Check)
		assert.NotEmpty(t, f.Limit, f.Check)
		assert.NotEmpty(t, f.Source, f.Check)
	}
	assert.Equal(t, want, got)
}

func TestDeskOfAGoodInstallation(t *testing.T) {
	for _, f := range Desk(greenhouse(t)) {
		assert.Equal(t, Pass, f.Verdict, "%s: %s %s", f.Check, f.Why, f.Missing)
		assert.NotEmpty(t, f.Why, f.Check)
		t.Logf("%s: %s [%s] %s", f.Check, f.Why, f.Limit, f.Change)
	}
}
