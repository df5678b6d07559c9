package signal

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"example.org/tankhand/testdata/reference"
)

// NIST Statistical Reference Datasets, univariate: certified mean and deviation.
func TestMomentsAgainstNIST(t *testing.T) {
	tolerance := map[string]float64{"numacc3": 1e-7, "numacc4": 1e-7}
	for _, row := range reference.Table(t, "nist_certified.csv") {
		t.Run(row.Text("set"), func(t *testing.T) {
			x := nistSet(t, row.Text("set"))
			require.Len(t, x, int(row.Number("n")))
			var m Moments
			for _, v := range x {
				m.Add(v)
			}
			tol := max(tolerance[row.Text("set")], 1e-10)
			assert.InEpsilon(t, row.Number("mean"), m.Mean(), 1e-12)
			assert.InEpsilon(t, row.Number("sample_sd"), m.SD(), tol)
		})
	}
}

func nistSet(t *testing.T, name string) []float64 {
	base := map[string]float64{"numacc2": 1.2, "numacc3": 1000000.2, "numacc4": 10000000.2}
	if b, ok := base[name]; ok {
		x := []float64{b}
		for range 500 {
			x = append(x, b-0.1, b+0.1)
		}
		return x
	}
	if name == "numacc1" {
		return []float64{10000001, 10000003, 10000002}
	}
	return reference.Column(t, "nist_"+name+".csv", "y")
}

// Invented readings, marked by the Hampel identifier: beyond three robust standard deviations from the
// median; values by scipy.
func TestHampel(t *testing.T) {
	x := reference.Column(t, "hampel_example.csv", "x")
	median, mad := MADInPlace(x)
	assert.InDelta(t, 100.1, median, 1e-9)
	assert.InDelta(t, 0.2, mad, 1e-9)
	sigma := MADFactor * mad
	assert.InDelta(t, 0.296520, sigma, 1e-6)
	for _, row := range reference.Table(t, "hampel_example.csv") {
		assert.Equal(t, row.Text("outlier") == "1", math.Abs(row.Number("x")-median) > 3*sigma, "%v", row)
	}
}

func TestMedian(t *testing.T) {
	assert.True(t, math.IsNaN(Median(nil)))
	assert.Equal(t, 5.5, Median([]float64{100, 9, 8, 7, 6, 5, 4, 3, 2, 1}), "the usual median of an even count")
	assert.Equal(t, 3.0, Median([]float64{3}))
}

// The Gaussian tail: computed by scipy; quantiles against gonum.
func TestGauss(t *testing.T) {
	for _, row := range reference.Table(t, "gauss_tail.csv") {
		assert.InEpsilon(t, row.Number("Q"), GaussTail(row.Number("z")), 1e-8, row.Text("z"))
	}
	n := distuv.Normal{Sigma: 1}
	for _, p := range []float64{1e-6, 0.025, 0.5, 0.8, 0.975} {
		assert.InDelta(t, n.Quantile(p), GaussQuantile(p), 1e-9)
	}
	for _, nu := range []float64{1, 2, 9, 16, 300} {
		want := distuv.StudentsT{Sigma: 1, Nu: nu}.Quantile(0.975)
		assert.InEpsilon(t, want, StudentQuantile(0.975, nu), 1e-8)
		assert.InEpsilon(t, -want, StudentQuantile(0.025, nu), 1e-8)
	}
	// JCGM 100:2008, H.1: t for 99 % and 16 degrees of freedom is 2.92.
	assert.InDelta(t, 2.92, StudentQuantile(0.995, 16), 0.005)
}

// First-run probabilities after An Introduction to Probability Theory and Its Applications, vol. 1.
func TestFalseSwitching(t *testing.T) {
	for _, row := range reference.Table(t, "false_switch.csv") {
		s := FalseSwitching(row.Number("H_mm"), row.Number("sigma_mm"), int(row.Number("n_confirm")))
		assert.InEpsilon(t, row.Number("p_single"), s.Single, 1e-7)
		assert.InEpsilon(t, row.Number("p_run"), s.Run, 1e-7)
		assert.InEpsilon(t, row.Number("expected_samples"), s.Samples, 1e-7)
	}
	assert.True(t, math.IsInf(FalseSwitching(0.02, 0, 3).Samples, 1), "without noise never")
}

// Statistics in Medicine 17:857 (1998) and scipy.
func TestBinomialIntervals(t *testing.T) {
	for _, row := range reference.Table(t, "binomial_interval.csv") {
		x, n := int(row.Number("x")), int(row.Number("n"))
		lo, hi := Wilson(x, n, Z95)
		assert.InDelta(t, row.Number("wilson_low"), lo, 1e-6)
		assert.InDelta(t, row.Number("wilson_high"), hi, 1e-6)
	}
	lo, hi := Wilson(0, 0, Z95)
	assert.Equal(t, [2]float64{0, 1}, [2]float64{lo, hi}, "nothing seen, nothing known")
}

// Low-pass noise up to B hertz crosses zero 2B/sqrt 3 times a second (Rice).
func TestRice(t *testing.T) {
	const b = 2.0
	rate := 2 * math.Pi * b / math.Sqrt(3) // sqrt(m2/m0) of a flat spectrum up to b
	assert.InEpsilon(t, 2*b/math.Sqrt(3), RiceCrossings(1, rate), 1e-12)
	assert.InEpsilon(t, b/math.Sqrt(3)*math.Exp(-2), RiceUpcrossings(1, rate, 2), 1e-12)
}

func TestPairAgainstGonum(t *testing.T) {
	x, y := reference.Column(t, "nist_norris.csv", "x"), reference.Column(t, "nist_norris.csv", "y")
	assert.InEpsilon(t, stat.Correlation(x, y, nil), Correlation(x, y), 1e-12)
	_, slope := stat.LinearRegression(x, y, nil, false)
	var p Pair
	for i := range x {
		p.Add(x[i], y[i])
	}
	assert.InEpsilon(t, slope, p.Slope(), 1e-12)
	assert.True(t, math.IsNaN(Correlation([]float64{1, 1}, []float64{1, 2})))
}
