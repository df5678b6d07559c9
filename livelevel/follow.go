package livelevel

import "math"

const (
	firstSigma = 0.005 // m: what a small ranger scatters, until the readings say better
	gateSigmas = 4.5
	leastGate  = 0.02 // m: what ripples and digits do is no outlier
	quickWater = 0.1  // m/s: the quickest that water moves in such a tank
	stepHits   = 3    // readings in a row elsewhere that make a step
	stepTime   = 0.35 // s, at least: a burst of a few wrong echoes is no step
	nearGates  = 2.5  // so many gates off is still near
	otherShare = 0.04 // of the readings: less is no population
)

// rival collects readings that belong to no track: a run of them is a step, five scattered ones that
// agree are a second population.
type rival struct {
	track
	last  float64 // its last reading
	score int     // agreeing readings less strays
	run   int     // its readings since the main track was last hit
	began float64 // when that run began
	mixed bool    // the main track was hit since its first reading
	age   int     // readings since its last hit
}

// take sorts a reading into a track; it is true when the main track took it.
func (g *Gauge) take(now, y float64) bool {
	g.main.weight *= 0.99
	g.second.weight *= 0.99
	g.recent.add(y)
	if g.main.hits == 0 {
		g.main.add(now, y, g.memory(), g.noise.sigma)
		return true
	}
	e := y - g.main.predict(now)
	gate := g.gate(now, &g.main)
	if math.Abs(e) <= gate || g.nearMiss(e, gate) {
		g.accept(now, y, e, gate)
		return true
	}
	if g.second.hits > 0 && math.Abs(y-g.second.predict(now)) <= g.gate(now, &g.second) {
		return g.takeSecond(now, y)
	}
	return g.takeRival(now, y, e)
}

// nearMiss is true for the second reading in a row that lies a little outside the gate on the same
// side: no echo of something else, but water that moves quicker than the line knew.
func (g *Gauge) nearMiss(e, gate float64) bool {
	if math.Abs(e) > nearGates*gate {
		g.near = 0
		return false
	}
	again := g.near*e > 0
	g.near = e
	return again
}

// accept gives a reading to the main track. A lasting shift of the residuals to one side says that the
// water began or ceased to move: then the past counts for less.
func (g *Gauge) accept(now, y, e, gate float64) {
	z := e / (g.noise.sigma*math.Sqrt(max(1, g.noise.correlated)) + g.digit.resolution()*g.scale/3)
	outside := math.Abs(e) > gate
	if g.shift.Add(z) != 0 || outside {
		g.main.fit.forget(0.2)
		g.shift.Reset()
	}
	if !outside {
		g.near = 0
		g.noise.add(e)
	}
	g.main.add(now, y, g.memory(), g.noise.sigma)
	g.rival.mixed, g.rival.run = true, 0
	g.rival.age++
	g.longest = max(g.longest, g.away)
	g.away, g.misses = 0, 0
	g.choose(false)
}

// memory is the fading time of the main track: long enough to smooth, short enough that the start of a
// fill shows within two seconds or two readings (the line lags 0.37 of it at worst).
func (g *Gauge) memory() float64 { return 4 * max(1, g.clock.spacing) }

// gate is how far from a track a reading may lie and still belong to it.
func (g *Gauge) gate(now float64, k *track) float64 {
	w := max(leastGate, gateSigmas*g.noise.sigma, 3*g.digit.resolution()*g.scale)
	if gap := now - k.at - 2*g.clock.spacing; gap > 0 {
		w += min(0.002*gap, 0.1)
	}
	return w
}

// takeSecond follows the second population; when the main one stays away it takes its place.
func (g *Gauge) takeSecond(now, y float64) bool {
	g.second.add(now, y, 5*g.memory(), g.noise.sigma)
	g.second.since++
	g.away++
	g.misses = 0
	if g.away >= g.patience() {
		g.swap()
		return true
	}
	g.choose(true)
	return g.away == 0
}

// patience is for how many readings in a row the second population must stand in for the main one
// to take its place: longer than it ever did before it gave way again. The longer-lived of the two
// comes back at once.
func (g *Gauge) patience() int {
	if g.second.hits >= g.main.hits {
		return stepHits
	}
	return min(max(12, int(3/max(g.clock.spacing, 0.02)), 2*g.longest), 200)
}

// swap makes the second track the main one.
func (g *Gauge) swap() {
	g.main, g.second = g.second, g.main
	g.away = 0
}

// takeRival handles a reading that fits no track. Agreement raises the rival's score and every stray
// lowers it, so that wild echoes, however many, do not add up to a population.
func (g *Gauge) takeRival(now, y, e float64) bool {
	v := &g.rival
	g.misses++
	switch {
	case v.hits == 0 || v.age > 40:
		*v = rival{}
	case math.Abs(y-g.rivalAt(now)) > g.rivalGate(now):
		if v.score--; v.score > 0 {
			return g.lost(now)
		}
		*v = rival{}
	}
	if v.run++; v.run == 1 {
		v.began = now
	}
	v.track.add(now, y, g.memory(), g.noise.sigma)
	v.last, v.age = y, 0
	v.score++
	if g.isStep(now, e) {
		g.promote()
		return true
	}
	if v.mixed && v.score >= 5 && g.second.weight < v.weight {
		g.second = v.track
		g.second.since = v.hits
		g.second.mark()
		g.main.mark()
		*v = rival{}
		g.choose(false)
	}
	return g.lost(now)
}

// isStep tells whether the rival's run is the water itself: long enough, or as quick as water moves.
func (g *Gauge) isStep(now, e float64) bool {
	v := &g.rival
	if v.run >= stepHits && now-v.began > stepTime {
		return true
	}
	if v.hits > 3 && v.hits > 2*g.main.hits {
		return true // the main track began at a wild echo
	}
	return !v.mixed && v.run >= 2 && math.Abs(e) < quickWater*(now-g.main.at)
}

func (g *Gauge) rivalAt(now float64) float64 {
	if g.rival.hits < 2 || g.rival.mixed {
		return g.rival.last
	}
	return g.rival.predict(now)
}

func (g *Gauge) rivalGate(now float64) float64 {
	w := g.gate(now, &g.main)
	if !g.rival.mixed {
		w += min(quickWater*(now-g.rival.at), 0.2)
	}
	return w
}

// promote follows a step: the rival becomes the main track, the old one is kept in case it comes back.
func (g *Gauge) promote() {
	old := g.main
	g.main = g.rival.track
	g.rival = rival{}
	g.second = old
	g.second.weight, g.second.since = 0, 0
	g.second.mark()
	g.main.mark()
	g.misses, g.away, g.near = 0, 0, 0
	g.shift.Reset()
}

// lost begins anew at the median of the last readings when none of them fits anything: the noise has
// grown beyond what the gauge knew.
func (g *Gauge) lost(now float64) bool {
	if g.misses < ringSize {
		return false
	}
	middle, sigma := g.recent.robust()
	if sigma > mostSigma {
		return false // wild echoes have no middle worth following
	}
	g.noise.sigma = min(max(g.noise.sigma, sigma), mostSigma)
	g.main = track{}
	g.main.add(now, middle, g.memory(), g.noise.sigma)
	g.rival, g.misses = rival{}, 0
	return true
}
