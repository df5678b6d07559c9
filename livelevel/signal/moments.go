package signal

import "math"

// Moments are the running mean and variance of a stream by Welford's method, which keeps its digits
// where the sum of squares loses them. The zero value is ready to use.
type Moments struct {
	n        int64
	mean, m2 float64
}

// Add takes the next sample.
func (m *Moments) Add(x float64) {
	m.n++
	d := x - m.mean
	m.mean += d / float64(m.n)
	m.m2 += d * (x - m.mean)
}

// N is how many samples there were.
func (m *Moments) N() int64 { return m.n }

// Mean is NaN without samples.
func (m *Moments) Mean() float64 {
	if m.n == 0 {
		return math.NaN()
	}
	return m.mean
}

// SD is the sample standard deviation, NaN below two samples.
func (m *Moments) SD() float64 {
	if m.n < 2 {
		return math.NaN()
	}
	return math.Sqrt(m.m2 / float64(m.n-1))
}

// Correlation is the product-moment correlation of two equally long series; NaN when one is constant.
func Correlation(x, y []float64) float64 {
	var c Pair
	for i := range min(len(x), len(y)) {
		c.Add(x[i], y[i])
	}
	return c.Correlation()
}

// Pair is the running correlation and slope of two streams. The zero value is ready to use.
type Pair struct {
	n             int64
	mx, my        float64
	sxx, syy, sxy float64
}

// Add takes the next pair of samples.
func (p *Pair) Add(x, y float64) {
	p.n++
	dx, dy := x-p.mx, y-p.my
	p.mx += dx / float64(p.n)
	p.my += dy / float64(p.n)
	p.sxx += dx * (x - p.mx)
	p.syy += dy * (y - p.my)
	p.sxy += dx * (y - p.my)
}

// N is how many pairs there were.
func (p *Pair) N() int64 { return p.n }

// Correlation is NaN when one stream is constant or there are fewer than two pairs.
func (p *Pair) Correlation() float64 {
	if p.n < 2 || p.sxx == 0 || p.syy == 0 {
		return math.NaN()
	}
	return p.sxy / math.Sqrt(p.sxx*p.syy)
}

// Slope of y on x by least squares.
func (p *Pair) Slope() float64 {
	if p.sxx == 0 {
		return math.NaN()
	}
	return p.sxy / p.sxx
}
