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

func deskFact(v float64, dim quantity.Dim) site.Fact {
	return site.Fact{Quantity: quantity.Of(v, dim), Origin: site.Given}
}

func deskMark(v float64, dim quantity.Dim) site.Mark { return site.Mark{Fact: deskFact(v, dim)} }

// greenhouse is the sheet of an invented installation in good order.
func greenhouse(t *testing.T) *site.Sheet {
	t.Helper()
	shape, err := tank.VerticalCylinder(1.10, 1.60)
	require.NoError(t, err)
	const m, v, ohm = quantity.Length, quantity.Voltage, quantity.Resistance
	s := &site.Sheet{}
	s.Tank = site.Tank{Shape: shape, Height: deskFact(1.60, m), Overflow: deskFact(1.55, m), Outlet: deskFact(0.10, m), Diameter: deskFact(1.10, m)}
	s.Sensor = site.Sensor{FaceHeight: deskFact(1.75, m), Blanking: deskFact(0.25, m), Range: deskFact(4.5, m),
		BeamHalfAngle: deskFact(10*math.Pi/180, quantity.Angle), WallDistance: deskFact(0.40, m), PingInterval: deskFact(0.1, quantity.Time),
		AssumedSpeed: deskFact(346, quantity.Speed), AirTemperature: deskFact(24, quantity.Temperature), AirHumidity: deskFact(0.9, quantity.Ratio)}
	s.Marks = site.Marks{Full: deskFact(0.35, m), Empty: deskFact(1.70, m), LowSet: deskMark(0.4, quantity.Ratio), FullSet: deskMark(0.95, quantity.Ratio)}
	s.Controller.LogicVoltage = deskFact(3.3, v)
	s.Pump = site.PumpFacts{HealthyFlow: deskFact(2.3/3600, quantity.Flow), MotorPower: deskFact(370, quantity.Power), MotorVoltage: deskFact(230, v),
		Phases: deskFact(1, quantity.Number), RunningCurrent: deskFact(2.8, quantity.Current), SuctionLift: deskFact(2, m)}
	s.Relay = site.Relay{CoilVoltage: deskFact(5, v), CoilResistance: deskFact(70, ohm), ContactCurrent: deskFact(10, quantity.Current),
		PinVoltage: deskFact(3.3, v), BaseResistor: deskFact(390, ohm), TransistorGain: deskFact(110, quantity.Number), Diode: "fitted", Drives: "motor"}
	s.Supply = site.Supply{Voltage: deskFact(5, v), CableLength: deskFact(6, m), CableArea: deskFact(0.75e-6, quantity.Area),
		BoardCurrent: deskFact(0.24, quantity.Current), BrownOut: deskFact(4.3, v)}
	s.EchoLine = site.EchoLine{High: deskFact(5, v), TopResistor: deskFact(1000, ohm), BottomResistor: deskFact(2000, ohm), InputLimit: deskFact(3.6, v)}
	s.Buttons = site.Buttons{PullUp: deskFact(10e3, ohm), InternalPullUp: "no"}
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
