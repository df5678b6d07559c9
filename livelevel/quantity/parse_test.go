package quantity

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParse(t *testing.T) {
	tests := []struct {
		in  string
		dim Dim
		v   float64
	}{
		{"1.75 m", Length, 1.75}, {"35 cm", Length, 0.35}, {"350mm", Length, 0.35}, {"14 in", Length, 0.3556}, {`14"`, Length, 0.3556},
		{"13 1/2 in", Length, 0.3429}, {"1/4 in", Length, 0.00635}, {"5 ft 3 in", Length, 1.6002}, {`5' 3"`, Length, 1.6002}, {`5'3"`, Length, 1.6002},
		{"-2 cm", Length, -0.02}, {"\u22122 cm", Length, -0.02}, {".5 m", Length, 0.5}, {"1e-3 m", Length, 1e-3}, {"14 IN", Length, 0.3556}, {"\u00a01.75\u00a0m ", Length, 1.75},
		{"2.3 m3/h", Flow, 2.3 / 3600}, {"2.3 m³/h", Flow, 2.3 / 3600}, {"40 l/min", Flow, 40.0 / 60000}, {"1.5 gpm", Flow, 1.5 * 3785411784 / 6e13},
		{"0.5 mm2", Area, 0.5e-6}, {"0.5 mm²", Area, 0.5e-6}, {"0.5 mm^2", Area, 0.5e-6},
		{"300 l", Volume, 0.3}, {"231 in3", Volume, 3785411784e-12}, {"1 gal", Volume, 3785411784e-12}, {"1 imp gal", Volume, 0.00454609},
		{"390 ohm", Resistance, 390}, {"390 Ω", Resistance, 390}, {"10 kohm", Resistance, 1e4}, {"10 kΩ", Resistance, 1e4}, {"10k", Resistance, 1e4}, {"2 Mohm", Resistance, 2e6},
		{"12 uF", Capacitance, 12e-6}, {"12 µF", Capacitance, 12e-6}, {"12 μF", Capacitance, 12e-6}, {"100 nF", Capacitance, 1e-7},
		{"24 degC", Temperature, 24}, {"24 °C", Temperature, 24}, {"24 C", Temperature, 24}, {"75 degF", Temperature, 215.0 / 9}, {"75 °F", Temperature, 215.0 / 9},
		{"75 F", Temperature, 215.0 / 9}, {"-40 degF", Temperature, -40}, {"273.15 K", Temperature, 0},
		{"90 %", Ratio, 0.9}, {"90%", Ratio, 0.9}, {"15 deg", Angle, math.Pi / 12}, {"15°", Angle, math.Pi / 12},
		{"100 ms", Time, 0.1}, {"60 s", Time, 60}, {"1 min 30 s", Time, 90}, {"2 h", Time, 7200}, {"5827.51 us", Time, 5827.51e-6},
		{"343 m/s", Speed, 343}, {"5 V", Voltage, 5}, {"24 VDC", Voltage, 24}, {"240 mA", Current, 0.24}, {"0.37 kW", Power, 370}, {"0.5 hp", Power, 372.849935790},
		{"1/2 hp", Power, 372.849935790}, {"40 kHz", Frequency, 4e4}, {"15 1/h", Frequency, 15.0 / 3600}, {"15 /h", Frequency, 15.0 / 3600}, {"101.325 kPa", Pressure, 101325},
		{"14.7 psi", Pressure, 101352.93221}, {"3", Number, 3}, {"110", Number, 110},
	}
	for _, tt := range tests {
		q, err := Parse(tt.in, tt.dim)
		require.NoError(t, err, tt.in)
		assert.InDelta(t, tt.v, q.V, 1e-9*math.Abs(tt.v), tt.in)
		assert.Zero(t, q.U, tt.in)
		assert.Equal(t, tt.dim, q.Dim)
	}
}

// Plain decimal steps come out to the last bit, so that 35 cm and 0.35 m are the same value.
func TestDecimalUnitsAreExact(t *testing.T) {
	for in, want := range map[string]float64{"35 cm": 0.35, "350 mm": 0.35, "14 in": 0.3556, "110 cm": 1.1, "90 %": 0.9, "240 mA": 0.24, "70 ms": 0.07} {
		for d := range dimCount {
			if q, err := Parse(in, d); err == nil {
				assert.Equal(t, want, q.V, in)
			}
		}
	}
}

// JCGM 100:2008, 4.3.7: bounds ±a with nothing else known have the standard uncertainty a/√3; the
// 5 mm of a tape are 2.8868 mm in testdata/reference/uncertainty_level_example.csv.
func TestStatedBoundsAreRectangular(t *testing.T) {
	for in, half := range map[string]float64{
		"1.75 m ± 5 mm": 0.005, "1.75 m +/- 5 mm": 0.005, "1.75 m +- 0.5 cm": 0.005, "1.75 ± 0.005 m": 0.005, "1.75 m±0.005": 0.005,
		"2 m ± 1 %": 0.02, "1.75 m ± 0 mm": 0, "5 ft 3 in ± 1/4 in": 0.00635,
	} {
		q, err := Parse(in, Length)
		require.NoError(t, err, in)
		assert.InDelta(t, half/math.Sqrt(3), q.U, 1e-12, in)
		assert.InDelta(t, half, q.Half(), 1e-12, in)
	}
	q, err := Parse("1.75 m ± 5 mm", Length)
	require.NoError(t, err)
	assert.InDelta(t, 2.8868e-3, q.U, 5e-8)
	for in, half := range map[string]float64{"24 degC ± 2 K": 2, "24 ± 2 degC": 2, "75 degF ± 9 degF": 5, "75 ± 9 degF": 5} {
		q, err := Parse(in, Temperature)
		require.NoError(t, err, in)
		assert.InDelta(t, half, q.Half(), 1e-12, in)
	}
	q, err = Parse("90 % ± 5 %", Ratio)
	require.NoError(t, err)
	assert.InDelta(t, 0.05, q.Half(), 1e-12)
}

func TestParseSaysWhatWouldBeRight(t *testing.T) {
	for _, tt := range []struct {
		in  string
		dim Dim
		err string
	}{
		{"1.75", Length, `reading "1.75" as a length: it has no unit: write it in m, cm, mm, in, ft`},
		{"1,75 m", Length, "write numbers with a decimal point and without thousands separators"},
		{"1,750 mm", Length, "decimal point"},
		{"5 V", Length, "V is a unit of voltage: write it in m, cm"},
		{"5 furlong", Length, `unknown unit "furlong"`},
		{"", Length, "a number is missing"}, {"m", Length, "does not begin with a number"}, {"1.75 m ±", Length, "a number is missing"},
		{"1.75 m ± -5 mm", Length, "positive"}, {"1.75 m ± 5 mm 3 mm", Length, "after ±"}, {"1.75 m ± 5 V", Length, "unit of voltage"},
		{"24 degC ± 10 %", Temperature, "± 2 K"}, {"5 V 3 V", Voltage, "one number with one unit"}, {"5 in 3 ft", Length, "one number with one unit"},
		{"1e999 m", Length, "no number"}, {"1e308 km", Length, "too large"}, {"3 V", Number, "a plain number"}, {"0.9", Ratio, "%"},
		{"NaN m", Length, "does not begin"}, {"0x10 m", Length, ""}, {"5 MOHM", Resistance, "unknown unit"},
	} {
		_, err := Parse(tt.in, tt.dim)
		require.Error(t, err, tt.in)
		assert.Contains(t, err.Error(), tt.err, tt.in)
	}
}

func TestParseAny(t *testing.T) {
	for _, tt := range []struct {
		in, def string
		v       float64
		dim     Dim
	}{
		{"4.1 V", "V", 4.1, Voltage}, {"4.1", "V", 4.1, Voltage}, {"4100 mV", "V", 4.1, Voltage}, {"4.1", "mV", 0.0041, Voltage}, {" -4.1 ", "V", -4.1, Voltage},
		{"12 uF", "F", 12e-6, Capacitance}, {"4.1 ± 0.1", "V", 4.1, Voltage}, {"4.1 V", "", 4.1, Voltage}, {"3 in", "", 0.0762, Length}, {"2 kohm", "ohm", 2000, Resistance},
	} {
		q, err := ParseAny(tt.in, tt.def)
		if !assert.NoError(t, err, tt.in) {
			continue
		}
		assert.InDelta(t, tt.v, q.V, 1e-12, tt.in)
		assert.Equal(t, tt.dim, q.Dim, tt.in)
	}
	for _, tt := range [][2]string{{"4.1 A", "V"}, {"", "V"}, {"high", "V"}, {"4,1", "V"}, {"4.1 zz", ""}, {"4.1", "zz"}} {
		_, err := ParseAny(tt[0], tt[1])
		assert.Error(t, err, tt)
	}
}

func TestParseTyped(t *testing.T) {
	for in, want := range map[string]float64{"4.1 V": 4.1, "4,1 V": 4.1, "4,1": 4.1, "-0,75 V": -.75, "4100 mV": 4.1, "3,3004 V": 3.3004} {
		q, err := ParseTyped(in, "V")
		if assert.NoError(t, err, in) {
			assert.InDelta(t, want, q.V, 1e-12, in)
		}
	}
	for _, in := range []string{"1,750 V", "1.234,5 V", "4,1,2 V", "4, V", ",5 V", "4,1 A"} {
		_, err := ParseTyped(in, "V")
		assert.Error(t, err, in)
	}
}

// FuzzParse: no text panics; what parses is finite and comes back from its own text.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"1.75 m ± 5 mm", "13 1/2 in", "5 ft 3 in", "24 ± 2 degC", "90 %", "20 AWG", "1e-3 m", "2.3 m³/h", "15 1/h", "1/0 in", "± 5", "--1 m", "1..2 m"} {
		f.Add(s, uint8(Length))
	}
	f.Fuzz(func(t *testing.T, s string, d uint8) {
		_, _ = ParseAny(s, "V")
		_, _ = ParseAny(s, "")
		q, err := Parse(s, Dim(d%uint8(dimCount)))
		if err != nil {
			return
		}
		require.False(t, math.IsNaN(q.V) || math.IsInf(q.V, 0) || math.IsNaN(q.U) || math.IsInf(q.U, 0), "%q", s)
		_ = Format(q, US) + Interval(q, US) + Interval(q, Metric)
		back, err := Parse(q.String(), q.Dim)
		require.NoError(t, err, "%q is written as %q", s, q.String())
		assert.InDelta(t, q.V, back.V, 1e-9*math.Abs(q.V)+1e-9, "%q is written as %q", s, q.String())
	})
}
