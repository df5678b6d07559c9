package quantity

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"example.org/tankhand/testdata/reference"
)

// Conversion factors to seven digits: NIST Special Publication 811 (2008), appendix B.8, from memory.
func TestUnitsAgreeWithPublishedFactors(t *testing.T) {
	for symbol, si := range map[string]float64{
		"in": 2.54e-2, "ft": 3.048e-1, "in2": 6.4516e-4, "ft2": 9.290304e-2, "in3": 1.638706e-5, "ft3": 2.831685e-2, "gal": 3.785412e-3, "impgal": 4.54609e-3,
		"gpm": 6.309020e-5, "ft3/min": 4.719474e-4, "psi": 6.894757e3, "atm": 1.01325e5, "hp": 7.456999e2, "deg": 1.745329e-2, "l/min": 1.666667e-5,
		"m3/h": 2.777778e-4, "ft/s": 3.048e-1, "in/min": 4.233333e-4, "bar": 1e5, "mm/min": 1.666667e-5,
	} {
		u, ok := FindUnit(symbol)
		require.True(t, ok, symbol)
		assert.InEpsilon(t, si, u.SI(1), 5e-7, symbol)
	}
}

// ASTM B258 diameters.
func TestWireGauge(t *testing.T) {
	rows := reference.Table(t, "awg_copper.csv")
	require.Greater(t, len(rows), 4)
	for _, row := range rows {
		q, err := Parse(row.Text("awg")+" AWG", Area)
		require.NoError(t, err)
		assert.InDelta(t, row.Number("area_mm2"), q.V*1e6, 5.1e-5, "%v", row)
		gauge, err := q.In("AWG")
		require.NoError(t, err)
		assert.Equal(t, row.Number("awg"), math.Round(gauge))
	}
}

func TestFormat(t *testing.T) {
	for _, tt := range []struct {
		v          float64
		dim        Dim
		metric, us string
	}{
		{1.75, Length, "1.75 m", "68.9 in"}, {0.35, Length, "0.35 m", "13.78 in"}, {0.0123456, Length, "12.35 mm", "0.486 in"}, {4.5, Length, "4.5 m", "14.76 ft"},
		{0, Length, "0 m", "0 ft"}, {-0.0004, Length, "-0.4 mm", "-0.01575 in"}, {1.5205, Volume, "1.52 m3", "401.7 gal"}, {0.25, Volume, "250 l", "66.04 gal"},
		{2.3 / 3600, Flow, "2.3 m3/h", "10.13 gpm"}, {5e-5, Flow, "3 l/min", "0.7925 gpm"}, {24, Temperature, "24 degC", "75.2 degF"}, {0, Temperature, "0 degC", "32 degF"},
		{0.9, Ratio, "90 %", "90 %"}, {math.Pi / 12, Angle, "15 deg", "15 deg"}, {390, Resistance, "390 ohm", "390 ohm"}, {1e4, Resistance, "10 kohm", "10 kohm"},
		{12e-6, Capacitance, "12 uF", "12 uF"}, {0.0685714, Current, "68.57 mA", "68.57 mA"}, {370, Power, "370 W", "0.4962 hp"}, {0.1, Time, "100 ms", "100 ms"},
		{90, Time, "90 s", "90 s"}, {1200, Time, "20 min", "20 min"}, {8.33333e-4, Frequency, "3 1/h", "3 1/h"}, {343.2, Speed, "343.2 m/s", "1126 ft/s"},
		{101325, Pressure, "101.3 kPa", "14.7 psi"}, {5, Voltage, "5 V", "5 V"}, {0.5e-6, Area, "0.5 mm2", "0.5 mm2"}, {123456, Power, "123.5 kW", "165.6 hp"},
		{1234567, Number, "1235000", "1235000"}, {math.NaN(), Length, "unknown", "unknown"},
	} {
		assert.Equal(t, tt.metric, Format(Of(tt.v, tt.dim), Metric))
		if tt.us != "" {
			assert.Equal(t, tt.us, Format(Of(tt.v, tt.dim), US))
		}
	}
}

// The uncertainty shown is twice the standard one, and the value has no digit that it does not warrant.
func TestInterval(t *testing.T) {
	for _, tt := range []struct {
		v, u       float64
		dim        Dim
		metric, us string
	}{
		{0.8421, 0.006, Length, "0.842 m ± 0.012 m", "33.2 in ± 0.5 in"}, {24, 1, Temperature, "24.0 degC ± 2.0 K", "75 degF ± 4 degF"},
		{1.5205, 0.05, Volume, "1.52 m3 ± 0.10 m3", "402 gal ± 26 gal"}, {0.35, 0, Length, "0.35 m", "13.78 in"}, {1234, 180, Power, "1.2 kW ± 0.4 kW", ""},
		{0.001, 0.5, Length, "1 mm ± 1000 mm", ""},
	} {
		q := Quantity{V: tt.v, U: tt.u, Dim: tt.dim}
		assert.Equal(t, tt.metric, Interval(q, Metric))
		if tt.us != "" {
			assert.Equal(t, tt.us, Interval(q, US))
		}
	}
}

func TestIn(t *testing.T) {
	for _, c := range []struct {
		from string
		dim  Dim
		to   string
		want float64
	}{{"10 gpm", Flow, "l/min", 37.85411784}, {"0 degC", Temperature, "degF", 32}} {
		q, err := Parse(c.from, c.dim)
		require.NoError(t, err)
		v, err := q.In(c.to)
		require.NoError(t, err)
		assert.InDelta(t, c.want, v, 1e-9)
	}
	_, err := Of(1, Flow).In("V")
	assert.ErrorContains(t, err, "converting a flow")
}

// Every unit turns back to what it came from, and no symbol means two things within a dimension.
func TestUnitsRoundTrip(t *testing.T) {
	for d := range dimCount {
		us := Units(d)
		require.NotEmpty(t, us, d)
		if d != Ratio {
			assert.Equal(t, 1.0, SIUnit(d).SI(1), d)
		}
		for i, u := range us {
			assert.InDelta(t, 7.5, u.FromSI(u.SI(7.5)), 1e-9, u.Symbol)
			found, ok := FindUnitOf(d, u.Symbol)
			require.True(t, ok)
			assert.Equal(t, u.Symbol, found.Symbol)
			for _, other := range us[:i] {
				assert.NotEqual(t, u.Symbol, other.Symbol)
			}
		}
	}
}

func TestStringRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := Quantity{Dim: Dim(rapid.IntRange(0, int(dimCount)-1).Draw(t, "dim")), V: rapid.Float64Range(-1e6, 1e6).Draw(t, "v")}
		if rapid.Bool().Draw(t, "spread") {
			q = q.Within(rapid.Float64Range(1e-9, 1e3).Draw(t, "half"))
		}
		back, err := Parse(q.String(), q.Dim)
		require.NoError(t, err, q.String())
		assert.InDelta(t, q.V, back.V, 1e-9*math.Abs(q.V)+1e-12, q.String())
		assert.InEpsilon(t, q.U+1, back.U+1, 1e-5, q.String())
	})
}
