package signal

// CUSUM is the two-sided tabular cumulative sum of standardised values: it signals a lasting shift of
// the mean. K is half the shift to be found and H the decision limit, both in standard deviations;
// K 0.5 with H 5 gives a false signal once in 465 values of white noise, and finds a shift of one
// standard deviation in 10.
type CUSUM struct {
	K, H     float64
	Up, Down float64
}

// Add takes the next standardised value and returns +1 or -1 when the sum of that side is beyond H,
// else 0. It does not reset itself.
func (c *CUSUM) Add(z float64) int {
	c.Up = max(0, c.Up+z-c.K)
	c.Down = max(0, c.Down-z-c.K)
	switch {
	case c.Up > c.H:
		return 1
	case c.Down > c.H:
		return -1
	}
	return 0
}

// Reset begins anew.
func (c *CUSUM) Reset() { c.Up, c.Down = 0, 0 }

// CUSUMRunLength is the average run length of a two-sided CUSUM from a start at zero, for Gaussian
// values whose mean is shift standard deviations off: how long a false alarm keeps away, or how
// long a true one takes. The sum is approximated by a Markov chain (Biometrika 59:539, 1972).
func CUSUMRunLength(k, h, shift float64) float64 {
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
