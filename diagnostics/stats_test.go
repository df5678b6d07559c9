package diagnostics

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
)

// table reads a reference table as columns of numbers.
func table(t *testing.T, name string) map[string][]float64 {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "reference", name))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	out := map[string][]float64{}
	for i, name := range rows[0] {
		for _, row := range rows[1:] {
			v, _ := strconv.ParseFloat(row[i], 64)
			out[name] = append(out[name], v)
		}
	}
	return out
}

// TestWilson is against the examples of Statistics in Medicine 17:857 (1998), from memory, and
// computed values.
func TestWilson(t *testing.T) {
	c := table(t, "binomial_interval.csv")
	for i := range c["x"] {
		low, high := wilson(c["x"][i], c["n"][i])
		assert.InDelta(t, c["wilson_low"][i], low, 1e-6)
		assert.InDelta(t, c["wilson_high"][i], high, 1e-6)
	}
}

// TestTheilSen is against values of an independent library, for an invented set with an outlier and
// for the NIST StRD set Norris.
func TestTheilSen(t *testing.T) {
	c := table(t, "theil_sen_example.csv")
	assert.InDelta(t, 1.985714286, theilSen(c["x"], c["y"]).mid, 1e-9)
	n := table(t, "nist_norris.csv")
	fit := theilSen(n["x"], n["y"])
	assert.InDelta(t, 1.00219683656, fit.mid, 1e-10)
	assert.Less(t, fit.low, fit.mid)
	assert.Greater(t, fit.high, fit.mid)
}

// TestSlopeInterval asks whether the 95 % interval holds the truth in about 95 of 100 noisy lines.
func TestSlopeInterval(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 1))
	held := 0
	const tries = 1000
	for range tries {
		var x, y [30]float64
		for i := range x {
			x[i], y[i] = float64(i), 0.2*float64(i)+rnd.NormFloat64()
		}
		if f := theilSen(x[:], y[:]); f.low <= 0.2 && 0.2 <= f.high {
			held++
		}
	}
	assert.InDelta(t, 0.95*tries, held, 25)
}

func TestQuickMedian(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2, 1))
	for n := 1; n < 60; n++ {
		w := make([]float64, n)
		for i := range w {
			w[i] = float64(rnd.IntN(n)) // with ties
		}
		s := slices.Sorted(slices.Values(w))
		assert.Equal(t, (s[(n-1)/2]+s[n/2])/2, quickMedian(w), "n %d", n)
	}
	assert.True(t, math.IsNaN(quickMedian(nil)))
}

func TestLogHistQuantile(t *testing.T) {
	var h logHist
	assert.True(t, math.IsNaN(h.quantile(0.5)))
	for i := 1; i <= 999; i++ {
		h.add(float64(i)*1e-4, 1)
	}
	assert.InEpsilon(t, 0.05, h.quantile(0.5), 0.02)
	h.add(math.Inf(1), 1)
	h.add(-1, 1)
}

// TestStartsLimit is against NEMA MG 10 table 2-3 and common practice (15 an hour, no source).
func TestStartsLimit(t *testing.T) {
	c := table(t, "nema_mg10_starts.csv")
	fact := func(v float64) site.Fact {
		return site.Fact{Quantity: quantity.Quantity{V: v}, Origin: site.Given}
	}
	for i, hp := range c["hp"] {
		for poles, col := range map[float64]string{2: "starts_per_h_2pole", 4: "starts_per_h_4pole", 6: "starts_per_h_6pole"} {
			s := &site.Sheet{Pump: site.PumpFacts{Phases: fact(3), MotorPower: fact(hp * 745.7), MotorPoles: fact(poles)}}
			got, _ := StartsLimit(s)
			assert.Equal(t, math.Min(15, c[col][i]), got, "%g hp, %g poles", hp, poles)
		}
	}
	got, source := StartsLimit(&site.Sheet{})
	assert.Equal(t, 15.0, got)
	assert.Contains(t, source, "no source")
}

// TestFalseSwitching is against the success-run table (An Introduction to Probability Theory and Its
// Applications, vol. 1, from memory): expected readings to the first run of n beyond a threshold.
func TestFalseSwitching(t *testing.T) {
	c := table(t, "false_switch.csv")
	for i := range c["H_mm"] {
		d := newDigest(&site.Sheet{})
		d.timed, d.period = true, 0.1
		d.sheet.Controller.Confirm = site.Fact{Quantity: quantity.Quantity{V: c["n_confirm"][i]}, Origin: site.Given}
		w := newMarginWatch(setup{sheet: d.sheet, d: d})
		want := 3600 / (0.1 * c["expected_samples"][i])
		got := w.falsePerHour(c["H_mm"][i]/1000, c["sigma_mm"][i]/1000)
		if want < 1e-12 {
			assert.Less(t, got, 1e-11) // the table's own last digits, and those of 1-p
			continue
		}
		assert.InEpsilon(t, want, got, 1e-5, "row %d", i)
	}
}
