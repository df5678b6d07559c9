package livelevel

import (
	"slices"

	"example.org/tankhand/livelevel/signal"
)

const (
	leastSigma = 1e-4 // m
	mostSigma  = 0.2
)

// noise follows the scatter of the readings about the main track.
type noise struct {
	sigma      float64 // robust standard deviation
	last       float64
	c0, c1     float64 // variance and lag-1 covariance of the clipped residuals
	seen       int
	correlated float64 // by how much waves inflate the variance of a mean
}

// add takes the residual of a reading that belongs to the track. The estimate steps toward the median
// of the residuals' size, so that single wild ones hardly move it.
func (n *noise) add(e float64) {
	step := 0.02
	if n.seen < 60 {
		step = 0.08
	}
	n.seen++
	size := e
	if size < 0 {
		size = -size
	}
	switch {
	case size > n.sigma/signal.MADFactor:
		n.sigma *= 1 + step
	case size < n.sigma/20:
		n.sigma *= 1 - max(step, 0.06) // so near is rare: the estimate is far too great
	default:
		n.sigma *= 1 - step
	}
	n.sigma = min(max(n.sigma, leastSigma), mostSigma)
	limit := 3 * n.sigma
	e = min(max(e, -limit), limit)
	n.c0 += 0.01 * (e*e - n.c0)
	n.c1 += 0.01 * (e*n.last - n.c1)
	n.last = e
	if n.seen%8 != 0 {
		return // it changes slowly
	}
	r := 0.0
	if n.c0 > 0 {
		r = min(max(n.c1/n.c0, 0), 0.95)
	}
	n.correlated = (1 + r) / (1 - r)
}

const ringSize = 8

// ring holds the last readings, whatever they were.
type ring struct {
	y [ringSize]float64
	n int
}

func (r *ring) add(y float64) {
	r.y[r.n%ringSize] = y
	r.n++
}

// robust is the median of the ring and its robust standard deviation.
func (r *ring) robust() (median, sigma float64) {
	c := r.y
	s := c[:min(r.n, ringSize)]
	slices.Sort(s)
	median, mad := signal.MADInPlace(s)
	return median, signal.MADFactor * mad
}
