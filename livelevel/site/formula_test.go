package site

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFormula(t *testing.T) {
	s := mustParse(t, quarryLane)
	for text, want := range map[string]float64{
		"0.92*sensor.supply_voltage": 4.6,
		"0.4":                        0.4,
		"2 + 3 * 4 - 6 / 2":          11,
		"2*(3+4)":                    14,
		"-(1 - 3)":                   2,
		"8/2/2":                      2,
		"1 - 2 - 3":                  -4,
		"1e-3*relay.coil_resistance": 0.07,
		"0.1*relay.coil_voltage/relay.coil_resistance/10": 0.1 * 5 / 70 / 10,
		"marks.low_set": 0.4,
	} {
		f, err := ParseFormula(text)
		require.NoError(t, err, text)
		v, missing := f.Eval(s)
		assert.Empty(t, missing, text)
		assert.InDelta(t, want, v, 1e-15+1e-12*math.Abs(want), text)
		assert.Equal(t, text, f.String())
	}
}

func TestFormulaSaysWhatIsMissing(t *testing.T) {
	f, err := ParseFormula("0.9*pump.capacitor + supply.voltage")
	require.NoError(t, err)
	assert.Equal(t, []string{"pump.capacitor", "supply.voltage"}, f.Paths())
	for _, s := range []*Sheet{nil, {}, Empty(), mustParse(t, minimal(""))} {
		_, missing := f.Eval(s)
		assert.Equal(t, []string{"pump.capacitor", "supply.voltage"}, missing)
		assert.Equal(t, Unknown, f.Origin(s))
	}
	_, missing := f.Eval(mustParse(t, minimal("supply: {voltage: 5 V}\n")))
	assert.Equal(t, []string{"pump.capacitor"}, missing)
}

func TestFormulaCarriesTheWeakestOrigin(t *testing.T) {
	s := mustParse(t, quarryLane)
	for text, want := range map[string]Origin{"sensor.face_height": Measured, "sensor.face_height+sensor.blanking": Label, "sensor.blanking+marks.full": Given,
		"sensor.tilt*sensor.face_height": Assumed, "3": Given} {
		f, err := ParseFormula(text)
		require.NoError(t, err)
		assert.Equal(t, want, f.Origin(s), text)
	}
}

func TestFormulaMistakes(t *testing.T) {
	for text, want := range map[string]string{
		"":                           "missing at the end",
		"1+":                         "missing at the end",
		"(1":                         "not closed",
		"1)":                         "left over",
		"1 2":                        "left over",
		"sensor.suply_voltage":       "did you mean sensor.supply_voltage?",
		"os.exit":                    "no quantity of a site sheet",
		"1..2":                       "no number",
		"*2":                         "a number or a path is needed",
		"sensor.kind":                "no quantity",
		"$x":                         "needed where",
		strings.Repeat("(", 100):     "too many brackets",
		strings.Repeat("-", 100):     "too many brackets",
		strings.Repeat("1+", 200):    "longer than",
		"1e":                         "no number",
		"sensor.supply_voltage volt": "left over",
	} {
		_, err := ParseFormula(text)
		require.Error(t, err, text)
		assert.Contains(t, err.Error(), want, text)
	}
}

func FuzzFormula(f *testing.F) {
	for _, s := range []string{"0.92*sensor.supply_voltage", "-(1-2)/3", "1e-3", "((("} {
		f.Add(s)
	}
	sheet := Empty()
	f.Fuzz(func(t *testing.T, text string) {
		if g, err := ParseFormula(text); err == nil {
			g.Eval(sheet)
			g.Origin(sheet)
		}
	})
}
