package site

import (
	"strings"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/sound"
)

// HeightAt is the height of the water above the tank's bottom at an ullage, both in metres.
func (s *Sheet) HeightAt(ullage float64) (height float64, ok bool) {
	return s.Sensor.FaceHeight.V - ullage, s.Sensor.FaceHeight.Known()
}

// VolumeAt is the volume of the water at an ullage, cubic metres.
func (s *Sheet) VolumeAt(ullage float64) (volume float64, ok bool) {
	h, ok := s.HeightAt(ullage)
	if !ok || s.Tank.Shape == nil {
		return 0, false
	}
	return s.Tank.Shape.Volume(h), true
}

// PercentAt is the percentage of the height between the taught marks at an ullage, not clamped.
func (s *Sheet) PercentAt(ullage float64) (percent float64, ok bool) {
	full, empty := s.Marks.Full, s.Marks.Empty
	if !full.Known() || !empty.Known() || full.V == empty.V {
		return 0, false
	}
	return 100 * (empty.V - ullage) / (empty.V - full.V), true
}

// SwitchAt is the ullage at which a switching mark lies, metres; a percentage needs the taught marks.
func (s *Sheet) SwitchAt(m Mark) (ullage float64, ok bool) {
	if !m.Known() {
		return 0, false
	}
	if m.Dim == quantity.Length {
		return m.V, true
	}
	full, empty := s.Marks.Full, s.Marks.Empty
	return empty.V - m.V*(empty.V-full.V), full.Known() && empty.Known()
}

// Air is the air over the water as the sheet has it.
func (s *Sheet) Air() sound.Air {
	return sound.Air{Temperature: s.Sensor.AirTemperature.Or(20), Humidity: s.Sensor.AirHumidity.Or(0.5)}
}

// Derived is something that follows from the sheet.
type Derived struct {
	Name    string
	Value   quantity.Quantity
	Note    string   // how it was computed, on what it rests
	Missing []string // paths that would be needed; then there is no value
}

// Text is the value in the technician's units, or what is missing.
func (d Derived) Text(sys quantity.System) string {
	if len(d.Missing) > 0 {
		return "unknown: needs " + strings.Join(d.Missing, ", ")
	}
	return quantity.Format(d.Value, sys)
}

// rule is one line of what Facts computes: the paths it needs, and how.
type rule struct {
	name  string
	dim   quantity.Dim
	needs []string
	note  string
	value func(s *Sheet) float64
	fills bool // means something only where the pump starts below where it stops
}

// needShape stands among the needs for the tank's sizes.
const needShape = "the tank's sizes"

func level(u float64, s *Sheet) float64  { h, _ := s.HeightAt(u); return h }
func volume(u float64, s *Sheet) float64 { v, _ := s.VolumeAt(u); return v }
func startAt(s *Sheet) float64           { u, _ := s.SwitchAt(s.Marks.LowSet); return u }
func stopAt(s *Sheet) float64            { u, _ := s.SwitchAt(s.Marks.FullSet); return u }
func drawdown(s *Sheet) float64          { return volume(stopAt(s), s) - volume(startAt(s), s) }

// flow is what the pump brings: as it was found well, else by its plate.
func (s *Sheet) flow() float64 { return s.Pump.HealthyFlow.Or(s.Pump.RatedFlow.Or(0)) }

const needFlow = "pump.healthy_flow or pump.rated_flow"

var switching = []string{needShape, "sensor.face_height", "marks.low_set", "marks.full_set"}

func with(needs []string, more ...string) []string {
	return append(append([]string(nil), needs...), more...)
}

// In a cycle of start and stop, V/(Q-q) to fill and V/q to draw, T is least at q = Q/2: T = 4 V/Q
// (MIL-HDBK-1005/9A, 2.5.3.6).
var rules = []rule{
	{name: "capacity", dim: quantity.Volume, needs: []string{needShape}, note: "of the whole tank",
		value: func(s *Sheet) float64 { return s.Tank.Shape.Volume(s.Tank.Shape.Height()) }},
	{name: "volume at the overflow", dim: quantity.Volume, needs: []string{needShape, "tank.overflow"}, note: "what it holds before it spills",
		value: func(s *Sheet) float64 { return s.Tank.Shape.Volume(s.Tank.Overflow.V) }},
	{name: "level at the full mark", dim: quantity.Length, needs: []string{"sensor.face_height", "marks.full"}, note: "above the tank's bottom",
		value: func(s *Sheet) float64 { return level(s.Marks.Full.V, s) }},
	{name: "level at the empty mark", dim: quantity.Length, needs: []string{"sensor.face_height", "marks.empty"}, note: "above the tank's bottom",
		value: func(s *Sheet) float64 { return level(s.Marks.Empty.V, s) }},
	{name: "volume at the full mark", dim: quantity.Volume, needs: []string{needShape, "sensor.face_height", "marks.full"}, note: "at 100 %",
		value: func(s *Sheet) float64 { return volume(s.Marks.Full.V, s) }},
	{name: "volume at the empty mark", dim: quantity.Volume, needs: []string{needShape, "sensor.face_height", "marks.empty"}, note: "at 0 %",
		value: func(s *Sheet) float64 { return volume(s.Marks.Empty.V, s) }},
	{name: "pump starts at", dim: quantity.Length, needs: []string{"sensor.face_height", "marks.low_set"}, note: "level above the tank's bottom",
		value: func(s *Sheet) float64 { return level(startAt(s), s) }},
	{name: "pump stops at", dim: quantity.Length, needs: []string{"sensor.face_height", "marks.full_set"}, note: "level above the tank's bottom",
		value: func(s *Sheet) float64 { return level(stopAt(s), s) }},
	{name: "drawdown", dim: quantity.Volume, needs: switching, note: "between stop and start", fills: true, value: drawdown},
	{name: "time to fill", dim: quantity.Time, needs: with(switching, needFlow), note: "from start to stop with nothing drawn, V/Q", fills: true,
		value: func(s *Sheet) float64 { return drawdown(s) / s.flow() }},
	{name: "shortest cycle", dim: quantity.Time, needs: with(switching, needFlow), note: "when half the pump's flow is drawn: 4 V/Q (MIL-HDBK-1005/9A)", fills: true,
		value: func(s *Sheet) float64 { return 4 * drawdown(s) / s.flow() }},
	{name: "most starts", dim: quantity.Frequency, needs: with(switching, needFlow), note: "one a shortest cycle", fills: true,
		value: func(s *Sheet) float64 { return s.flow() / (4 * drawdown(s)) }},
	{name: "speed of sound", dim: quantity.Speed, needs: air, note: "in the air of the sheet",
		value: func(s *Sheet) float64 { return s.Air().Speed() }},
	{name: "echo time at empty", dim: quantity.Time, needs: with(air, "marks.empty"), note: "there and back",
		value: func(s *Sheet) float64 { return sound.EchoTime(s.Marks.Empty.V, s.Air().Speed()) }},
	{name: "beam radius at empty", dim: quantity.Length, needs: []string{"marks.empty", "sensor.beam_half_angle"}, note: "keep walls, ladders and the inlet stream out of it",
		value: func(s *Sheet) float64 { return sound.Footprint(s.Marks.Empty.V, s.Sensor.BeamHalfAngle.V) }},
}

var air = []string{"sensor.air_temperature", "sensor.air_humidity"}

// Facts are what follows from the sheet: all lines always, those that cannot be computed with what
// is missing.
func Facts(s *Sheet) []Derived {
	out := make([]Derived, len(rules))
	for i, r := range rules {
		out[i] = r.derive(s)
	}
	return out
}

func (r rule) derive(s *Sheet) Derived {
	d := Derived{Name: r.name, Note: r.note, Value: quantity.Of(0, r.dim)}
	var assumed []string
	for _, need := range r.needs {
		d.Missing = append(d.Missing, s.lacks(need)...)
		if _, origin, _ := s.Lookup(need); origin == Assumed {
			assumed = append(assumed, need)
		}
	}
	if len(d.Missing) > 0 {
		return d
	}
	if r.fills && drawdown(s) <= 0 {
		d.Missing = []string{"a start below the stop"}
		return d
	}
	d.Value.V = r.value(s)
	if len(assumed) > 0 {
		d.Note += "; assumed: " + strings.Join(assumed, ", ")
	}
	return d
}

// lacks says which facts are missing to have what is needed.
func (s *Sheet) lacks(need string) []string {
	var known bool
	switch need {
	case needShape:
		known = s.Tank.Shape != nil
	case needFlow:
		known = s.flow() > 0
	case "marks.low_set", "marks.full_set":
		if f := byPath[need](s); f.Known() && f.Dim == quantity.Ratio {
			return append(s.lacks("marks.full"), s.lacks("marks.empty")...)
		}
		known = byPath[need](s).Known()
	default:
		known = byPath[need](s).Known()
	}
	if known {
		return nil
	}
	return []string{need}
}
