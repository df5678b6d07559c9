package signal

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"example.org/tankhand/testdata/reference"
)

// NIST Statistical Reference Datasets, univariate: certified mean, deviation, autocorrelation.
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
			assert.InEpsilon(t, row.Number("lag1_autocorr"), Lag1(x), max(tol, 1e-9))
			assert.InEpsilon(t, row.Number("lag1_autocorr"), m.Lag1(), 1e-6, "the streaming one")
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

// NIST Statistical Reference Datasets, linear regression, Norris; Theil-Sen of the same data by scipy.
func TestLinesAgainstNIST(t *testing.T) {
	x, y := reference.Column(t, "nist_norris.csv", "x"), reference.Column(t, "nist_norris.csv", "y")
	f := LeastSquares(x, y)
	assert.InEpsilon(t, 1.00211681802045, f.Slope, 1e-10)
	assert.InEpsilon(t, -0.262323073774029, f.Intercept, 1e-10)
	assert.InEpsilon(t, 0.429796848199937e-3, f.SlopeSD, 1e-10)
	assert.InEpsilon(t, 0.232818234301152, f.InterceptSD, 1e-10)
	assert.InEpsilon(t, 0.884796396144373, f.ResidualSD, 1e-10)
	assert.InEpsilon(t, 0.999993745883712, f.R2, 1e-10)
	l := TheilSen(x, y, nil)
	assert.InDelta(t, 1.00219683656, l.Slope, 1e-10)
	assert.InDelta(t, -0.0640158172232, l.Intercept, 1e-10)
	assert.True(t, l.Low < f.Slope && f.Slope < l.High)
}

// Invented data with one wild value; values by scipy.
func TestTheilSenIsNotMisled(t *testing.T) {
	x, y := reference.Column(t, "theil_sen_example.csv", "x"), reference.Column(t, "theil_sen_example.csv", "y")
	l := TheilSen(x, y, nil)
	assert.InDelta(t, 1.985714285714, l.Slope, 1e-10)
	assert.InDelta(t, 2.014285714286, l.Intercept, 1e-10)
	assert.InDelta(t, 2.221818181818, LeastSquares(x, y).Slope, 1e-10)
}

// The interval holds the true slope in 95 of 100 cases.
func TestTheilSenIntervalCovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	hit, trials := 0, 2000
	x, y, work := make([]float64, 15), make([]float64, 15), make([]float64, 0, 105)
	for range trials {
		for i := range x {
			x[i], y[i] = float64(i), 0.3*float64(i)+rng.NormFloat64()
		}
		if l := TheilSen(x, y, work); l.Low <= 0.3 && 0.3 <= l.High {
			hit++
		}
	}
	assert.InDelta(t, 0.95, float64(hit)/float64(trials), 0.02)
}

// Invented readings; values by scipy.
func TestHampel(t *testing.T) {
	x := reference.Column(t, "hampel_example.csv", "x")
	median, mad := MAD(x)
	assert.InDelta(t, 100.1, median, 1e-9)
	assert.InDelta(t, 0.2, mad, 1e-9)
	assert.InDelta(t, 0.296520, Sigma(x), 1e-6)
	marks := Hampel(x, 3)
	for i, row := range reference.Table(t, "hampel_example.csv") {
		assert.Equal(t, row.Text("outlier") == "1", marks[i], "reading %d", i)
	}
}

func TestMedianAndQuantile(t *testing.T) {
	assert.True(t, math.IsNaN(Median(nil)))
	assert.Equal(t, 5.5, Median([]float64{100, 9, 8, 7, 6, 5, 4, 3, 2, 1}), "the usual median of an even count")
	assert.Equal(t, 3.0, Median([]float64{3}))
	assert.Equal(t, 1.0, Quantile([]float64{3, 1, 2}, 0))
	assert.Equal(t, 3.0, Quantile([]float64{3, 1, 2}, 1))
	assert.Equal(t, 1.5, Quantile([]float64{3, 1, 2}, 0.25))
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
		lo, hi = ClopperPearson(x, n, 0.95)
		assert.InDelta(t, row.Number("cp_low"), lo, 1e-6)
		assert.InDelta(t, row.Number("cp_high"), hi, 1e-6)
	}
	lo, hi := Wilson(0, 0, Z95)
	assert.Equal(t, [2]float64{0, 1}, [2]float64{lo, hi}, "nothing seen, nothing known")
}

// Introduction to Statistical Quality Control (table of run lengths) and the R package spc.
func TestCUSUMRunLengths(t *testing.T) {
	for _, row := range reference.Table(t, "cusum_arl.csv") {
		got := CUSUMRunLength(row.Number("k"), row.Number("h"), row.Number("shift_sigma"))
		assert.InEpsilon(t, row.Number("arl_two_sided"), got, 3e-3, "shift %s", row.Text("shift_sigma"))
	}
}

// The CUSUM itself runs as long as its table says.
func TestCUSUMSimulated(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for shift, want := range map[float64]float64{0.5: 38.0, 1: 10.4, 2: 4.01} {
		total, trials := 0, 4000
		for range trials {
			c := CUSUM{K: 0.5, H: 5}
			for total++; c.Add(rng.NormFloat64()+shift) == 0; total++ {
			}
		}
		assert.InEpsilon(t, want, float64(total)/float64(trials), 0.04, "shift %v", shift)
	}
}

// Low-pass noise up to B hertz crosses zero 2B/sqrt 3 times a second (Rice).
func TestRice(t *testing.T) {
	const b = 2.0
	rate := 2 * math.Pi * b / math.Sqrt(3) // sqrt(m2/m0) of a flat spectrum up to b
	assert.InEpsilon(t, 2*b/math.Sqrt(3), RiceCrossings(1, rate), 1e-12)
	assert.InEpsilon(t, b/math.Sqrt(3)*math.Exp(-2), RiceUpcrossings(1, rate, 2), 1e-12)
}

func TestRuns(t *testing.T) {
	x := []bool{true, false, true, true, true, false, false, true}
	assert.Equal(t, []int{1, 3, 1}, RunLengths(x))
	var r Runs
	for _, v := range x {
		r.Add(v)
	}
	assert.Equal(t, Runs{N: 8, Hits: 5, Count: 3, Longest: 3, Current: 1}, r)
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

func TestTwoPopulations(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	make300 := func(f func(i int) float64) []float64 {
		x := make([]float64, 300)
		for i := range x {
			x[i] = f(i)
		}
		return x
	}
	noise := func() float64 { return 0.004 * rng.NormFloat64() }
	cases := []struct {
		name string
		x    []float64
		two  bool
	}{
		{"one quiet echo", make300(func(int) float64 { return 1 + noise() }), false},
		{"one noisy echo", make300(func(int) float64 { return 1 + 20*noise() }), false},
		{"a ramp", make300(func(i int) float64 { return 1 + 0.003*float64(i) + noise() }), false},
		{"a few spikes", make300(func(i int) float64 {
			if i%40 == 7 {
				return 3 * rng.Float64()
			}
			return 1 + noise()
		}), false},
		{"wall echo a fifth of the time", make300(func(i int) float64 {
			if rng.Float64() < 0.2 {
				return 0.45 + noise()/2
			}
			return 1 + noise()
		}), true},
		{"wall echo with spikes", make300(func(i int) float64 {
			if i%40 == 7 {
				return 4 * rng.Float64()
			}
			if rng.Float64() < 0.3 {
				return 0.45
			}
			return 1 + noise()
		}), true},
		{"displayed digits", make300(func(i int) float64 { return 1 + 0.01*float64(i%2) }), false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := TwoPopulations(c.x, 0.05, 0.05)
			assert.Equal(t, c.two, p.Two, "%+v", p)
		})
	}
	assert.False(t, TwoPopulations(nil, 0.05, 0.05).Two)
	assert.False(t, TwoPopulations([]float64{1}, 0.05, 0.05).Two)
}

func TestTwoPopulationsTellsAStepFromTurns(t *testing.T) {
	x := make([]float64, 100)
	for i := range x {
		x[i] = 1
		if i >= 50 {
			x[i] = 2
		}
	}
	p := TwoPopulations(x, 0.05, 0.05)
	assert.True(t, p.Two)
	assert.Equal(t, 1, p.Switches)
	assert.InDelta(t, 0.5, p.UpperShare, 1e-12)
}

func TestSketchAgainstSorting(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	draws := map[string]func() float64{
		"gaussian":   rng.NormFloat64,
		"durations":  func() float64 { return math.Exp(2 * rng.NormFloat64()) },
		"two values": func() float64 { return math.Round(rng.Float64()) },
	}
	for name, draw := range draws {
		var s Sketch
		x := make([]float64, 50000)
		for i := range x {
			x[i] = draw()
			s.Add(x[i])
		}
		s.Add(math.NaN())
		assert.Equal(t, int64(len(x)), s.N())
		for _, p := range []float64{0.001, 0.05, 0.158655, 0.5, 0.95, 0.999} {
			got := s.Quantile(p)
			below, upTo := 0, 0
			for _, v := range x {
				if v < got-1e-9 {
					below++
				}
				if v <= got+1e-9 {
					upTo++
				}
			}
			n := float64(len(x))
			assert.LessOrEqual(t, float64(below)/n, p+0.01, "%s %v", name, p)
			assert.GreaterOrEqual(t, float64(upTo)/n, p-0.01, "%s %v", name, p)
		}
		assert.LessOrEqual(t, len(s.clusters), 2*sketchSize, "the state is bounded")
	}
	var empty Sketch
	assert.True(t, math.IsNaN(empty.Median()))
}

func BenchmarkSketch(b *testing.B) {
	var s Sketch
	rng := rand.New(rand.NewPCG(3, 4))
	b.ReportAllocs()
	for b.Loop() {
		s.Add(rng.NormFloat64())
	}
}
