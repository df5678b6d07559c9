package site

import "example.org/tankhand/livelevel/quantity"

// preset is a value that is taken where the sheet says nothing.
type preset struct {
	path string
	text string
}

// presets by kind of sensor: what such sensors usually have, to be replaced by the sheet of the one
// that is fitted. Common practice, no source.
var presets = map[string][]preset{
	"open pair": { // separate transmitter and receiver, open metal cans
		{"sensor.blanking", "3 cm"}, {"sensor.range", "4 m"}, {"sensor.beam_half_angle", "15 deg"},
		{"sensor.ping_interval", "60 ms"}, {"sensor.supply_voltage", "5 V"},
	},
	"sealed single": { // one waterproof transducer that sends and then listens
		{"sensor.blanking", "25 cm"}, {"sensor.range", "4.5 m"}, {"sensor.beam_half_angle", "30 deg"},
		{"sensor.ping_interval", "100 ms"}, {"sensor.supply_voltage", "5 V"},
	},
}

// everywhere is taken whatever the sensor: temperate air of unknown humidity, a sensor set by eye, a
// controller that stops at the full mark.
var everywhere = []preset{
	{"sensor.air_temperature", "20 degC ± 15 K"}, {"sensor.air_humidity", "50 % ± 50 %"}, {"sensor.tilt", "0 deg ± 3 deg"},
	{"marks.full_set", "100 %"},
}

// preset fills in what the sheet leaves out; what it calls unknown stays unknown.
func (s *Sheet) preset() {
	for _, p := range append(append([]preset(nil), presets[s.Sensor.Kind]...), everywhere...) {
		f := byPath[p.path](s)
		if f.Known() || f.Stated {
			continue
		}
		filled, err := ParseFact(p.text+" (assumed)", f.Dim)
		if err != nil {
			panic("site: preset " + p.path + ": " + err.Error()) // the table above is wrong; a test reads all of it
		}
		stated := filled.Stated
		filled.Stated = false
		if g := fieldOf(p.path); g != nil && !stated {
			filled = g.uncertain(filled)
		}
		*f = filled
	}
}

// represet takes back what was assumed for another kind of sensor, and fills in anew.
func (s *Sheet) represet() {
	for _, list := range presets {
		for _, p := range list {
			if f := byPath[p.path](s); f.Origin == Assumed && f.Place.Line == 0 {
				*f = Fact{Quantity: quantity.Quantity{Dim: f.Dim}}
			}
		}
	}
	s.preset()
}

func fieldOf(path string) *field {
	for i := range fields {
		if fields[i].path == path {
			return &fields[i]
		}
	}
	return nil
}
