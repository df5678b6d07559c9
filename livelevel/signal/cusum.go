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
