package script

import (
	"fmt"
	"math"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
)

// facts are the paths of a site sheet that checks read, in the words of the sheet.
var facts = map[string]struct {
	dim quantity.Dim
	at  func(s *site.Sheet) *site.Fact
}{
	"tank.overflow":            {quantity.Length, func(s *site.Sheet) *site.Fact { return &s.Tank.Overflow }},
	"tank.outlet":              {quantity.Length, func(s *site.Sheet) *site.Fact { return &s.Tank.Outlet }},
	"sensor.face_height":       {quantity.Length, func(s *site.Sheet) *site.Fact { return &s.Sensor.FaceHeight }},
	"sensor.blanking":          {quantity.Length, func(s *site.Sheet) *site.Fact { return &s.Sensor.Blanking }},
	"sensor.range":             {quantity.Length, func(s *site.Sheet) *site.Fact { return &s.Sensor.Range }},
	"marks.full":               {quantity.Length, func(s *site.Sheet) *site.Fact { return &s.Marks.Full }},
	"marks.empty":              {quantity.Length, func(s *site.Sheet) *site.Fact { return &s.Marks.Empty }},
	"marks.low_set":            {quantity.Ratio, func(s *site.Sheet) *site.Fact { return &s.Marks.LowSet.Fact }},
	"marks.full_set":           {quantity.Ratio, func(s *site.Sheet) *site.Fact { return &s.Marks.FullSet.Fact }},
	"controller.confirm":       {quantity.Number, func(s *site.Sheet) *site.Fact { return &s.Controller.Confirm }},
	"controller.min_off":       {quantity.Time, func(s *site.Sheet) *site.Fact { return &s.Controller.MinOff }},
	"controller.min_on":        {quantity.Time, func(s *site.Sheet) *site.Fact { return &s.Controller.MinOn }},
	"controller.restart_delay": {quantity.Time, func(s *site.Sheet) *site.Fact { return &s.Controller.RestartDelay }},
	"pump.healthy_flow":        {quantity.Flow, func(s *site.Sheet) *site.Fact { return &s.Pump.HealthyFlow }},
	"pump.rated_flow":          {quantity.Flow, func(s *site.Sheet) *site.Fact { return &s.Pump.RatedFlow }},
	"pump.motor_power":         {quantity.Power, func(s *site.Sheet) *site.Fact { return &s.Pump.MotorPower }},
	"pump.motor_poles":         {quantity.Number, func(s *site.Sheet) *site.Fact { return &s.Pump.MotorPoles }},
	"pump.phases":              {quantity.Number, func(s *site.Sheet) *site.Fact { return &s.Pump.Phases }},
	"supply.voltage":           {quantity.Voltage, func(s *site.Sheet) *site.Fact { return &s.Supply.Voltage }},
	"supply.brown_out":         {quantity.Voltage, func(s *site.Sheet) *site.Fact { return &s.Supply.BrownOut }},
}

func sheetFact(a *args) func(*player) error {
	path := a.word("a path of the site sheet")
	f, ok := facts[path]
	if !ok {
		if path == "controller.control" {
			w := a.oneOf("auto", "manual")
			return do(func(p *player) { p.sheet.Controller.Control = w })
		}
		a.i--
		a.fail(fmt.Sprintf("%q is no fact that a check reads", path))
		return nil
	}
	v := a.number("a value")
	return do(func(p *player) { *f.at(&p.sheet) = fact(v, f.dim) })
}

func fact(v float64, dim quantity.Dim) site.Fact {
	return site.Fact{Quantity: quantity.Quantity{V: v, Dim: dim}, Origin: site.Given}
}

func limitFact(a *args) func(*player) error {
	name, v := a.word("CHECK.WORD"), a.number("a value")
	return do(func(p *player) { p.sheet.Limits[name] = fact(v, quantity.Number) })
}

func tankShape(a *args) func(*player) error {
	var area float64
	if a.oneOf("box", "cylinder") == "box" {
		area = a.number("a length") * a.number("a width")
	} else {
		d := a.number("a diameter")
		area = math.Pi / 4 * d * d
	}
	t := upright{area, a.number("a height")}
	return do(func(p *player) { p.sheet.Tank.Shape = t })
}

// upright is a tank of the same cross-section all the way up.
type upright struct{ area, height float64 }

func (t upright) Height() float64          { return t.height }
func (t upright) Volume(h float64) float64 { return t.area * math.Max(0, math.Min(h, t.height)) }
func (t upright) Area(float64) float64     { return t.area }
func (t upright) Level(v float64) float64  { return math.Max(0, math.Min(v/t.area, t.height)) }
