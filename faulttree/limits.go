package faulttree

import (
	"fmt"
	"math"
	"strings"

	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/site"
)

// facts gives every path of knowledge.Paths its place in the sheet.
var facts = map[string]func(*site.Sheet) site.Fact{
	"sensor.supply_voltage":    func(s *site.Sheet) site.Fact { return s.Sensor.SupplyVoltage },
	"sensor.blanking":          func(s *site.Sheet) site.Fact { return s.Sensor.Blanking },
	"sensor.range":             func(s *site.Sheet) site.Fact { return s.Sensor.Range },
	"sensor.face_height":       func(s *site.Sheet) site.Fact { return s.Sensor.FaceHeight },
	"sensor.wall_distance":     func(s *site.Sheet) site.Fact { return s.Sensor.WallDistance },
	"sensor.ping_interval":     func(s *site.Sheet) site.Fact { return s.Sensor.PingInterval },
	"marks.full":               func(s *site.Sheet) site.Fact { return s.Marks.Full },
	"marks.empty":              func(s *site.Sheet) site.Fact { return s.Marks.Empty },
	"controller.logic_voltage": func(s *site.Sheet) site.Fact { return s.Controller.LogicVoltage },
	"pump.healthy_flow":        func(s *site.Sheet) site.Fact { return s.Pump.HealthyFlow },
	"pump.rated_flow":          func(s *site.Sheet) site.Fact { return s.Pump.RatedFlow },
	"pump.motor_power":         func(s *site.Sheet) site.Fact { return s.Pump.MotorPower },
	"pump.motor_voltage":       func(s *site.Sheet) site.Fact { return s.Pump.MotorVoltage },
	"pump.running_current":     func(s *site.Sheet) site.Fact { return s.Pump.RunningCurrent },
	"pump.capacitor":           func(s *site.Sheet) site.Fact { return s.Pump.Capacitor },
	"pump.suction_lift":        func(s *site.Sheet) site.Fact { return s.Pump.SuctionLift },
	"relay.coil_voltage":       func(s *site.Sheet) site.Fact { return s.Relay.CoilVoltage },
	"relay.coil_resistance":    func(s *site.Sheet) site.Fact { return s.Relay.CoilResistance },
	"relay.contact_current":    func(s *site.Sheet) site.Fact { return s.Relay.ContactCurrent },
	"relay.pin_voltage":        func(s *site.Sheet) site.Fact { return s.Relay.PinVoltage },
	"relay.base_resistor":      func(s *site.Sheet) site.Fact { return s.Relay.BaseResistor },
	"relay.transistor_gain":    func(s *site.Sheet) site.Fact { return s.Relay.TransistorGain },
	"supply.voltage":           func(s *site.Sheet) site.Fact { return s.Supply.Voltage },
	"supply.cable_length":      func(s *site.Sheet) site.Fact { return s.Supply.CableLength },
	"supply.cable_area":        func(s *site.Sheet) site.Fact { return s.Supply.CableArea },
	"supply.board_current":     func(s *site.Sheet) site.Fact { return s.Supply.BoardCurrent },
	"supply.brown_out":         func(s *site.Sheet) site.Fact { return s.Supply.BrownOut },
	"echo_line.high":           func(s *site.Sheet) site.Fact { return s.EchoLine.High },
	"echo_line.top_resistor":   func(s *site.Sheet) site.Fact { return s.EchoLine.TopResistor },
	"echo_line.bottom_resistor": func(s *site.Sheet) site.Fact {
		return s.EchoLine.BottomResistor
	},
	"echo_line.input_limit": func(s *site.Sheet) site.Fact { return s.EchoLine.InputLimit },
	"buttons.pull_up":       func(s *site.Sheet) site.Fact { return s.Buttons.PullUp },
}

// lookup reads a fact of the sheet by its path.
func lookup(sheet *site.Sheet) func(string) (float64, bool) {
	return func(path string) (float64, bool) {
		get := facts[path]
		if sheet == nil || get == nil {
			return 0, false
		}
		f := get(sheet)
		return f.V, f.Known() && !math.IsNaN(f.V)
	}
}

// bands computes a probe's limits; ok is false where a fact is missing.
func bands(p *knowledge.Probe, sheet *site.Sheet) (limits []float64, ok bool) {
	for _, text := range p.Bands {
		f, err := knowledge.ParseFormula(text)
		if err != nil {
			return nil, false
		}
		v, known := f.Eval(lookup(sheet))
		if !known || math.IsNaN(v) || math.IsInf(v, 0) || len(limits) > 0 && v < limits[len(limits)-1] {
			return nil, false
		}
		limits = append(limits, v)
	}
	return limits, len(limits) > 0
}

// Classify turns a meter reading in SI into a probe's answer by the limits of the sheet; ok is
// false where a limit cannot be computed. A reading on the limit belongs to the upper answer.
func (w Walk) Classify(probe string, v float64) (answer string, ok bool) {
	if w.env == nil {
		return "", false
	}
	p := w.env.base.Probes[probe]
	if p == nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return "", false
	}
	limits, ok := bands(p, w.env.opt.Sheet)
	if !ok {
		return "", false
	}
	k := 0
	for k < len(limits) && v >= limits[k] {
		k++
	}
	return p.Answers[k], true
}

// limits are a measured probe's limits and what a good reading is, in words.
func (w Walk) limits(p *knowledge.Probe) (limits []float64, good string) {
	limits, ok := bands(p, w.env.opt.Sheet)
	if !ok {
		return nil, ""
	}
	k := 0
	for i, v := range p.Usual {
		if v > p.Usual[k] {
			k = i
		}
	}
	switch {
	case k == 0:
		return limits, "below " + w.limit(p, limits, 0)
	case k == len(limits):
		return limits, "above " + w.limit(p, limits, k-1)
	}
	return limits, "between " + w.limit(p, limits, k-1) + " and " + w.limit(p, limits, k)
}

// limit prints one limit with where it comes from: "4.6 V (92 % of 5 V)".
func (w Walk) limit(p *knowledge.Probe, limits []float64, i int) string {
	text := Engineering(limits[i], p.Unit)
	f, err := knowledge.ParseFormula(p.Bands[i])
	if err != nil || f.Plain() {
		return text
	}
	share, path, ok := strings.Cut(strings.ReplaceAll(f.Text, " ", ""), "*")
	var x float64
	if n, err := fmt.Sscanf(share, "%g", &x); ok && err == nil && n == 1 && len(f.Paths) == 1 && path == f.Paths[0] {
		v, _ := lookup(w.env.opt.Sheet)(path)
		if x < 2 {
			return fmt.Sprintf("%s (%.0f %% of %s)", text, 100*x, Engineering(v, p.Unit))
		}
	}
	return text + " (by the site sheet)"
}

// Engineering prints a value of an SI unit as a technician reads it: 0.0042 A is 4.2 mA.
func Engineering(v float64, unit string) string {
	for _, p := range []struct {
		from float64
		name string
	}{{1e6, "M"}, {1e3, "k"}, {1, ""}, {1e-3, "m"}, {1e-6, "u"}, {1e-9, "n"}} {
		if math.Abs(v) >= p.from*0.9995 {
			return fmt.Sprintf("%.3g %s%s", v/p.from, p.name, unit)
		}
	}
	return fmt.Sprintf("%.3g %s", v, unit)
}
