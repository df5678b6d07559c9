package diagnostics

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/testdata/reference"
)

// TestWilson is against the examples of Statistics in Medicine 17:857 (1998), from memory, and
// computed values.
func TestWilson(t *testing.T) {
	for _, row := range reference.Table(t, "binomial_interval.csv") {
		low, high := wilson(row.Number("x"), row.Number("n"))
		assert.InDelta(t, row.Number("wilson_low"), low, 1e-6)
		assert.InDelta(t, row.Number("wilson_high"), high, 1e-6)
	}
}

// TestTheilSen is against values of an independent library, for an invented set with an outlier and
// for the NIST StRD set Norris.
func TestTheilSen(t *testing.T) {
	fitted := func(name string) slopeFit {
		return theilSen(reference.Column(t, name, "x"), reference.Column(t, name, "y"))
	}
	assert.InDelta(t, 1.985714286, fitted("theil_sen_example.csv").mid, 1e-9)
	fit := fitted("nist_norris.csv")
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
	fact := func(v float64) site.Fact {
		return site.Fact{Quantity: quantity.Quantity{V: v}, Origin: site.Given}
	}
	for _, row := range reference.Table(t, "nema_mg10_starts.csv") {
		hp := row.Number("hp")
		for poles, col := range map[float64]string{2: "starts_per_h_2pole", 4: "starts_per_h_4pole", 6: "starts_per_h_6pole"} {
			s := &site.Sheet{Pump: site.PumpFacts{Phases: fact(3), MotorPower: fact(hp * 745.7), MotorPoles: fact(poles)}}
			got, _ := StartsLimit(s)
			assert.Equal(t, math.Min(15, row.Number(col)), got, "%g hp, %g poles", hp, poles)
		}
	}
	got, source := StartsLimit(&site.Sheet{})
	assert.Equal(t, 15.0, got)
	assert.Contains(t, source, "no source")
}

// TestFalseSwitching is against the success-run table (An Introduction to Probability Theory and Its
// Applications, vol. 1, from memory): expected readings to the first run of n beyond a threshold.
func TestFalseSwitching(t *testing.T) {
	for _, row := range reference.Table(t, "false_switch.csv") {
		d := newDigest(&site.Sheet{})
		d.timed, d.period = true, 0.1
		d.sheet.Controller.Confirm = site.Fact{Quantity: quantity.Quantity{V: row.Number("n_confirm")}, Origin: site.Given}
		w := newMarginWatch(setup{sheet: d.sheet, d: d})
		want := 3600 / (0.1 * row.Number("expected_samples"))
		got := w.falsePerHour(row.Number("H_mm")/1000, row.Number("sigma_mm")/1000)
		if want < 1e-12 {
			assert.Less(t, got, 1e-11) // the table's own last digits, and those of 1-p
			continue
		}
		assert.InEpsilon(t, want, got, 1e-5, "%v", row)
	}
}
