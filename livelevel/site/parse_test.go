package site

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/sheet"
)

func mustParse(t *testing.T, text string) *Sheet {
	t.Helper()
	s, err := Parse("site.yaml", []byte(text))
	require.NoError(t, err)
	return s
}

// minimal is a sheet with nothing but what must be there, and the given lines of other sections.
func minimal(more string) string {
	return "sheet: tankhand/site/1\ntank: {shape: box, length: 1 m, width: 1 m, height: 1 m}\nsensor: {face_height: 1.2 m}\n" + more
}

func TestParseEverySection(t *testing.T) {
	s := mustParse(t, quarryLane)
	assert.Equal(t, "Quarry Lane glasshouse", s.Site)
	assert.Equal(t, "HT-2", s.Asset)
	assert.Equal(t, "no", s.DrinkingWater)
	assert.Equal(t, "workshop-board", s.Dialect)
	assert.Equal(t, "auto", s.Controller.Control)
	assert.Equal(t, "unknown", s.Controller.FeedPowersBoard)
	assert.Equal(t, "fitted", s.Relay.Diode)
	assert.Equal(t, "none", s.Pump.DryGuard)
	assert.InDelta(t, math.Pi/4*1.1*1.1*1.6, s.Tank.Shape.Volume(2), 1e-12)
	for path, want := range map[string]float64{
		"tank.overflow": 1.55, "tank.outlet": 0.05, "sensor.face_height": 1.75, "sensor.beam_half_angle": math.Pi / 12, "sensor.ping_interval": 0.1,
		"sensor.assumed_speed": 343, "sensor.air_humidity": 0.9, "marks.full": 0.35, "marks.low_set": 0.4, "marks.full_set": 0.95, "controller.confirm": 3,
		"controller.min_off": 60, "pump.healthy_flow": 2.3 / 3600, "pump.capacitor": 12e-6, "pump.motor_power": 370, "relay.transistor_gain": 110,
		"supply.cable_area": 0.5e-6, "echo_line.bottom_resistor": 2000, "buttons.pull_up": 1e4, "supply.brown_out": 4.3,
	} {
		v, origin, ok := s.Lookup(path)
		assert.True(t, ok, path)
		assert.GreaterOrEqual(t, origin, Given, path)
		assert.InDelta(t, want, v, 1e-12, path)
	}
	assert.Equal(t, Measured, s.Sensor.FaceHeight.Origin)
	assert.Equal(t, Label, s.Sensor.Blanking.Origin)
	assert.Equal(t, Given, s.Sensor.Range.Origin)
	assert.Equal(t, sheet.Place{File: "site.yaml", Line: 13, Column: 16}, s.Sensor.FaceHeight.Place)
	assert.InDelta(t, 0.03, s.Limits["echo-dropouts.some"].V, 1e-15)
	assert.Equal(t, quantity.Ratio, s.Limits["echo-dropouts.some"].Dim)
}

func TestPresetsAreAssumedAndYieldToTheSheet(t *testing.T) {
	for kind, blanking := range map[string]float64{"open pair": 0.03, "sealed single": 0.25} {
		s := mustParse(t, strings.Replace(minimal(""), "{face_height: 1.2 m}", "{kind: "+kind+", face_height: 1.2 m, range: 3 m, ping_interval: unknown}", 1))
		assert.Equal(t, Assumed, s.Sensor.Blanking.Origin)
		assert.InDelta(t, blanking, s.Sensor.Blanking.V, 1e-12)
		assert.Equal(t, Given, s.Sensor.Range.Origin)
		assert.False(t, s.Sensor.PingInterval.Known(), "what is called unknown stays unknown")
		assert.InDelta(t, 0.1*blanking, s.Sensor.Blanking.Half(), 1e-12)
	}
	s := mustParse(t, minimal(""))
	assert.False(t, s.Sensor.Blanking.Known(), "no kind, no preset")
	assert.Equal(t, "unknown", s.Sensor.Kind)
	assert.Equal(t, Assumed, s.Sensor.AirTemperature.Origin)
	assert.InDelta(t, 15, s.Sensor.AirTemperature.Half(), 1e-12)
	assert.InDelta(t, 1, s.Marks.FullSet.V, 1e-12)
	assert.Equal(t, quantity.Ratio, s.Marks.FullSet.Dim)
	assert.Equal(t, "unknown", s.Controller.MainsInBox)
}

func TestUncertaintiesStatedAndDefault(t *testing.T) {
	s := mustParse(t, quarryLane)
	assert.InDelta(t, 0.005/math.Sqrt(3), s.Sensor.FaceHeight.U, 1e-12)
	assert.True(t, s.Sensor.FaceHeight.Stated)
	assert.InDelta(t, 0.011, s.Tank.Diameter.Half(), 1e-12)
	assert.False(t, s.Tank.Diameter.Stated)
	assert.InDelta(t, 2, s.Sensor.AirTemperature.Half(), 1e-12)
	assert.Zero(t, s.Marks.Full.U, "what was taught is exact")
}

// One file with a mistake of every kind: all are reported, each with its place and what would be right.
func TestEveryMistakeAtOnce(t *testing.T) {
	_, err := Parse("site.yaml", []byte(`sheet: tankhand/site/2
sites: Quarry Lane
drinking_water: maybe
tank:
  shape: vertical cilinder
  diameter: -1.10 m
  hight: 1.60 m
sensor:
  blanking: 0.25
  range: 4,5 m
  supply_voltage: 5 A
  air_humidity: 190 %
  beam_half_angle: 15 deg (guessed)
  air_temperature: warm
marks:
  full: [0.35 m]
  low_set: 40
pump: none
limits: {echo: 3 %, echo-dropouts.some: few}
`))
	var ps sheet.Problems
	require.ErrorAs(t, err, &ps)
	var got []string
	for _, p := range ps {
		got = append(got, strings.TrimPrefix(p.Place.String(), "site.yaml:")+" "+p.What)
	}
	want := []string{
		`1:8 "tankhand/site/2" is no sheet that this program reads: it must be tankhand/site/1`,
		`2:1 unknown key "sites" (did you mean site?)`,
		`3:17 one of yes, no, unknown is needed here, not "maybe"`,
		`5:10 one of box, vertical cylinder, horizontal cylinder, sphere, cone bottom, dished bottom, table, unknown (did you mean vertical cylinder?) is needed here, not "vertical cilinder"`,
		`6:13 -1.1 m is not possible here: it must be above zero`,
		`7:3 unknown key "hight" (did you mean height?)`,
		`9:3 "face_height" is missing here: measure from the transducer's face down to the tank's bottom, like 1.75 m`,
		`9:13 reading "0.25" as a length: it has no unit: write it in m, cm, mm, in, ft, um, km`,
		`10:10 reading "4,5 m" as a length: write numbers with a decimal point and without thousands separators, like 1.75`,
		`11:19 reading "5 A" as a voltage: A is a unit of current: write it in V, mV, kV`,
		`12:17 190 % is not possible here: it must be at most 100 %`,
		`13:20 "(guessed)" does not say how the value was got: write (measured), (label) or (assumed)`,
		`14:20 reading "warm" as a temperature: it does not begin with a number`,
		`16:9 a text is needed here, not a list`,
		`17:12 "40" is neither a percentage of the height between the marks, like 40 %, nor a distance from the sensor's face, like 1.20 m`,
		`18:7 a map of keys is needed here, not "none"`,
		`19:10 a limit is named by its check and grade, like echo-dropouts.some, not "echo"`,
		`19:41 reading "few": it does not begin with a number; a limit is a number with its unit, like 3 %`,
	}
	assert.Equal(t, want, got)
}

func TestShapes(t *testing.T) {
	for text, volume := range map[string]float64{
		"{shape: box, length: 2 m, width: 1.5 m, height: 1.2 m}":                           3.6,
		"{shape: vertical cylinder, diameter: 1.2 m, height: 1.5 m}":                       1.69646003,
		"{shape: horizontal cylinder, diameter: 1.5 m, length: 3 m, heads: flat}":          5.30143760,
		"{shape: horizontal cylinder, diameter: 1.5 m, length: 3 m, heads: ellipsoidal}":   6.18501054,
		"{shape: horizontal cylinder, diameter: 1.5 m, length: 3 m, heads: hemispherical}": 7.06858347,
		"{shape: horizontal cylinder, diameter: 1.5 m, length: 3 m, heads: torispherical}": 5.84818088,
		"{shape: sphere, diameter: 2 m}":                                                   4.18879020,
		"{shape: cone bottom, diameter: 1.2 m, cone_height: 0.5 m, height: 2.5 m}":         2.45044227,
		"{shape: table, rows: [[0 m, 0 l], [10 cm, 45 l], [1.5 m, 0.931 m3]]}":             0.931,
	} {
		s := mustParse(t, "sheet: tankhand/site/1\ntank: "+text+"\nsensor: {face_height: 3 m}\n")
		require.NotNil(t, s.Tank.Shape, text)
		assert.InEpsilon(t, volume, s.Tank.Shape.Volume(99), 1e-6, text)
		assert.True(t, s.Tank.Height.Known(), text)
		assert.InDelta(t, s.Tank.Shape.Height(), s.Tank.Height.V, 1e-12, text)
	}
}

func TestShapesWithMistakes(t *testing.T) {
	for text, want := range map[string]string{
		"{shape: vertical cylinder, height: 1.5 m}":                                          `"diameter" is missing`,
		"{shape: horizontal cylinder, diameter: 1 m, length: 2 m}":                           `"heads" is missing`,
		"{shape: horizontal cylinder, diameter: 1 m, length: 2 m, heads: round}":             "one of flat, ellipsoidal",
		"{shape: horizontal cylinder, diameter: 1 m, length: 2 m, heads: flat, height: 1 m}": "leave height out",
		"{shape: horizontal cylinder, diameter: 1 m, length: 2 m, heads: spherical cap}":     "head_depth",
		"{shape: box, length: 1 m, width: 1 m, height: 1 m, heads: flat}":                    "a box has no heads",
		"{shape: cone bottom, diameter: 1 m, cone_height: 2 m, height: 1 m}":                 "less than the depth",
		"{shape: table}":                                                         `"rows" is missing`,
		"{shape: table, rows: [[0 m, 0 l]]}":                                     "at least two rows",
		"{shape: table, rows: [[0 m, 0 l], [1 m, 1 l, 2]]}":                      "a row is a level and the volume",
		"{shape: table, rows: [[0 m, 0 l], [1 m, 2 m]]}":                         "unit of length",
		"{shape: box, rows: [[0 m, 0 l]], length: 1 m, width: 1 m, height: 1 m}": "no strapping table",
		"{shape: box, length: 1 m, width: 1 m, height: 1 m, overflow: 1.2 m}":    "overflow is above the top",
		"{shape: box, length: 1 m, width: 1 m, height: 1 m, outlet: 1.2 m}":      "outlet is above the top",
		"{diameter: 1 m}": `"shape" is missing`,
	} {
		_, err := Parse("f", []byte("sheet: tankhand/site/1\ntank: "+text+"\nsensor: {face_height: 3 m}\n"))
		require.Error(t, err, text)
		assert.Contains(t, err.Error(), want, text)
	}
}

func TestUnknownSizesCostTheVolumesOnly(t *testing.T) {
	for _, text := range []string{"{shape: box, length: unknown, width: 1 m, height: 1 m}", "{shape: unknown}",
		"{shape: horizontal cylinder, diameter: 1 m, length: 1 m, heads: unknown}"} {
		s := mustParse(t, "sheet: tankhand/site/1\ntank: "+text+"\nsensor: {face_height: 3 m}\n")
		assert.Nil(t, s.Tank.Shape, text)
	}
}

// What can be so on site is for the desk checks to find, not a mistake of the sheet.
func TestMistakesOnSiteAreNoMistakesOfTheSheet(t *testing.T) {
	for _, marks := range []string{
		"{full: 1.70 m, empty: 0.35 m}", "{full: 1 cm, empty: 1.70 m}", "{full: 0.35 m, empty: 1.70 m, low_set: 96 %, full_set: 20 %}",
		"{full: 0.35 m, empty: 4 m}", "{full: unknown, empty: 1 m}", "{low_set: 1.20 m}", "{full: 0 m}",
	} {
		mustParse(t, minimal("marks: "+marks+"\n"))
	}
	s := mustParse(t, minimal("marks: {low_set: 1.20 m (measured)}\n"))
	assert.Equal(t, quantity.Length, s.Marks.LowSet.Dim)
	assert.Equal(t, Measured, s.Marks.LowSet.Origin)
}

func TestUSUnits(t *testing.T) {
	s := mustParse(t, `sheet: tankhand/site/1
tank: {shape: vertical cylinder, diameter: 43 1/4 in, height: 5 ft 3 in}
sensor: {face_height: 69 in ± 1/4 in, air_temperature: 75 degF ± 4 degF}
pump: {healthy_flow: 10 gpm, motor_power: 1/2 hp}
supply: {cable_area: 20 AWG}
`)
	assert.InDelta(t, 1.09855, s.Tank.Diameter.V, 1e-9)
	assert.InDelta(t, 1.6002, s.Tank.Height.V, 1e-9)
	assert.InDelta(t, 0.00635, s.Sensor.FaceHeight.Half(), 1e-9)
	assert.InDelta(t, 23.888888, s.Sensor.AirTemperature.V, 1e-5)
	assert.InDelta(t, 6.30902e-4, s.Pump.HealthyFlow.V, 1e-9)
	assert.InDelta(t, 0.5176e-6, s.Supply.CableArea.V, 1e-10)
}

func TestEmptyFileAndOtherYAML(t *testing.T) {
	for _, text := range []string{"", "# nothing\n", "- a\n", "a: [\n", "text\n", "sheet:\ntank:\nsensor:\n"} {
		_, err := Parse("f", []byte(text))
		assert.Error(t, err, "%q", text)
	}
}
