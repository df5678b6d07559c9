package livelevel

import "math"

// fill sets the level from the main track as of now.
func (g *Gauge) fill(l *Level, now float64) {
	gap := now - g.main.at
	slope := g.main.slope
	x := g.main.value + slope*min(gap, g.memory())
	nan := math.NaN()
	l.Ullage, l.Height, l.Percent, l.Volume, l.UVolume = nan, nan, nan, nan, nan
	g.place(l, x)
	uFit, uSlope := g.fitU()
	l.Rate, l.RateU = -slope, uSlope
	if g.clock.timeless {
		l.Rate, l.RateU = nan, nan
	}
	if g.basis == fromPercent {
		l.Rate, l.RateU = nan, nan
	}
	u := g.combine(g.terms(l.Ullage, g.drift(uFit, uSlope, gap)))
	l.U = u
	if g.facts.shape != nil && !math.IsNaN(l.Height) {
		l.UVolume = hypot(g.facts.shape.Area(l.Height)*u, l.Volume*g.facts.areaU)
	}
	if g.two {
		l.Second, l.SecondShare = g.secondUllage(), g.secondShare()
	}
}

// place turns the followed distance into ullage, height, percent and volume, as far as the sheet goes.
func (g *Gauge) place(l *Level, x float64) {
	switch g.basis {
	case fromFace:
		l.Ullage, l.Height = x, g.facts.face-x
	case fromBottom:
		l.Height = -x
	case fromPercent:
		l.Percent = -100 * x
		return
	}
	// The controller was taught its marks by its own distances, so they are compared as such.
	l.Percent = 100 * (g.marks.empty - l.Ullage/g.corr) / g.marks.span()
	if g.facts.shape != nil && !math.IsNaN(l.Height) {
		l.Volume = g.facts.shape.Volume(l.Height)
	}
}

func (g *Gauge) secondUllage() float64 {
	if g.basis != fromFace {
		return math.NaN()
	}
	return g.second.value
}

// scatterDoubt allows for the scatter being an estimate itself, from residuals that the fit has made
// a little smaller.
const scatterDoubt = 1.1

// fitU are the standard uncertainties of the fitted value and slope from the scatter of the readings.
// Waves make neighbours alike; then a mean of many is worth fewer.
func (g *Gauge) fitU() (value, slope float64) {
	s := scatterDoubt * g.noise.sigma
	vv, vs := g.main.fit.variances(ridgeFor(s))
	infl := max(1, g.noise.correlated)
	value = s * math.Sqrt(min(vv*infl, 1))
	prior := slopePrior * slopePrior
	slope = s * math.Sqrt(vs*infl)
	if g.main.hits < 3 {
		slope = math.Sqrt(prior)
	}
	// Digits hide slow motion: within one step of the display nothing is seen.
	if res := g.digit.resolution() * g.scale; res > 0 {
		slope = hypot(slope, g.rounding(res)/g.memory())
	}
	return value, slope
}

// drift widens the uncertainty of the fit while no reading comes: the water may have begun to move.
func (g *Gauge) drift(uFit, uSlope, gap float64) float64 {
	if gap <= g.clock.spacing || math.IsInf(gap, 0) {
		return uFit
	}
	const creep = 5e-4 // m/s
	return hypot(uFit, (gap-g.clock.spacing)*max(uSlope, math.Abs(g.main.slope)/2, creep))
}

// rounding is the standard uncertainty from a display step. Noise of half a step or more averages the
// rounding out (dither); then it is already in the scatter.
func (g *Gauge) rounding(res float64) float64 {
	z := g.noise.sigma / res
	if z > 1 {
		return 0
	}
	return res / math.Sqrt(12) * math.Exp(-2*math.Pi*math.Pi*z*z)
}

// hypot does without the care for overflow of the standard one: these are metres.
func hypot(a, b float64) float64 { return math.Sqrt(a*a + b*b) }
