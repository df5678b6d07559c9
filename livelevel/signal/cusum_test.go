package signal

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/testdata/reference"
)

// Introduction to Statistical Quality Control (table of run lengths) and the R package spc.
func TestCUSUMRunLengths(t *testing.T) {
	for _, row := range reference.Table(t, "cusum_arl.csv") {
		got := runLength(row.Number("k"), row.Number("h"), row.Number("shift_sigma"))
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

// runLength is the average run length of a two-sided CUSUM from a start at zero, for Gaussian
// values whose mean is shift standard deviations off: how long a false alarm keeps away, or how
// long a true one takes. The sum is approximated by a Markov chain (Biometrika 59:539, 1972).
func runLength(k, h, shift float64) float64 {
	up, down := oneSidedRunLength(k, h, shift), oneSidedRunLength(k, h, -shift)
	return 1 / (1/up + 1/down)
}

// oneSidedRunLength solves (I-P)L = 1 for the states of the chain.
func oneSidedRunLength(k, h, shift float64) float64 {
	const states = 120
	w := 2 * h / (2*states - 1)
	a := make([][]float64, states)
	for i := range a {
		a[i] = make([]float64, states+1)
		from := float64(i) * w
		for j := range states {
			top := GaussTail(-(float64(j)*w + w/2 - from + k - shift))
			bottom := 0.0
			if j > 0 {
				bottom = GaussTail(-(float64(j)*w - w/2 - from + k - shift))
			}
			a[i][j] = bottom - top
		}
		a[i][i]++
		a[i][states] = 1
	}
	return solveFirst(a)
}

// solveFirst eliminates from the last unknown down and returns the first one; the matrix is
// diagonally dominant, so no pivoting is needed.
func solveFirst(a [][]float64) float64 {
	n := len(a)
	for p := n - 1; p > 0; p-- {
		for i := range p {
			f := a[i][p] / a[p][p]
			for j := range p {
				a[i][j] -= f * a[p][j]
			}
			a[i][n] -= f * a[p][n]
		}
	}
	return a[0][n] / a[0][0]
}
