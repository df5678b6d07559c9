package rig

import "math"

// echoState is the ranger between pings: where the waves stand, how the slow fading goes.
type echoState struct {
	phase   [3]float64
	fade    float64 // unit variance, slow
	foam    float64 // unit variance, slow
	open    bool    // the loose cable has no contact just now
	swapAt  float64
	ghost   float64 // m, where the other sensor's ping is heard just now
	quality float64 // dB of the last echo of the water over the threshold
}

// heard is what one ping brought: the distance the echo time stands for, or nothing.
type heard struct {
	seconds float64 // there and back
	lost    bool
}

const (
	budget   = 28.0  // dB of an echo from 1 m over the sensor's threshold
	jitter   = 0.002 // m rms of a good echo: the instant in the burst at which the threshold is passed
	cycle    = 25e-6 // s of one swing at 40 kHz
	beamHalf = 15.0 * math.Pi / 180
)

// slosh is the lowest round of water in a tank of 1.1 m: w^2 = g k tanh(k h), k = 1.841/R (textbook).
var sloshRates = [3]float64{5.72, 7.38, 9.9}

func (i *Installation) stepEcho() {
	e := &i.echo
	for k := range e.phase {
		e.phase[k] += sloshRates[k] * step
	}
	if i.cond.loose > 0 && i.now >= e.swapAt {
		e.open = i.chance(i.cond.loose)
		e.swapAt = i.now + 0.3 + 4*i.rng.Float64()
	}
	if i.cond.loose == 0 {
		e.open = false
	}
}

// ping sends one and listens.
func (i *Installation) ping() heard {
	e, c := &i.echo, &i.cond
	e.fade = 0.97*e.fade + 0.243*i.rng.NormFloat64()
	e.foam = 0.985*e.foam + 0.1726*i.rng.NormFloat64()
	if c.triggerOpen || c.sensorOff || c.inputDead || e.open {
		return heard{lost: true}
	}
	if i.chance(c.lost) || i.sensorVolts() < 3.2 {
		return heard{lost: true}
	}
	if d, ok := i.disturbed(); ok {
		return i.at(d)
	}
	return i.fromWater()
}

func (i *Installation) at(distance float64) heard {
	if distance <= 0 {
		return heard{lost: true}
	}
	return heard{seconds: 2 * distance / i.air.speed}
}

// disturbed is whatever is heard in place of the water: fixed targets, the inlet stream, noise, other pings.
func (i *Installation) disturbed() (float64, bool) {
	c, d := &i.cond, i.ullage()
	if c.web > 0 && i.chance(c.web) {
		if i.chance(0.08) {
			return -1, true
		}
		return 0.28 + 0.0015*i.rng.NormFloat64(), true
	}
	for _, t := range c.fixed {
		if t.share > 0 && t.at < d-0.03 && i.chance(t.share) {
			return t.at + 0.0012*i.rng.NormFloat64(), true
		}
	}
	if c.stream > 0 && i.water.falling && i.chance(c.stream) {
		if i.chance(0.25) {
			return -1, true
		}
		return blankingDist + (d-blankingDist)*i.rng.Float64(), true
	}
	if c.noise > 0 && i.pump.powered && i.chance(c.noise) {
		if i.chance(0.3) {
			return -1, true
		}
		return blankingDist + 0.95*d*i.rng.Float64(), true
	}
	if c.cross > 0 && i.chance(c.cross) {
		i.echo.ghost = math.Mod(i.echo.ghost+0.37+0.05*i.rng.NormFloat64()+2, 2)
		if i.echo.ghost > blankingDist && i.echo.ghost < d {
			return i.echo.ghost, true
		}
	}
	return i.ghostOfEarlier(d)
}

// ghostOfEarlier hears a multiple bounce of an earlier ping when pings follow each other too quickly: the n-th
// bounce of the ping before comes at n times the distance less what sound makes in the interval.
func (i *Installation) ghostOfEarlier(d float64) (float64, bool) {
	gap := i.air.speed * i.cond.pingEvery / 2
	if gap > 6 {
		return 0, false
	}
	wander := 0.04 * i.rng.NormFloat64() // the program's own timing is not even
	for n := 2; n <= 8; n++ {
		ghost := float64(n)*d - gap - wander
		if ghost > blankingDist && ghost < d && i.chance(0.8*math.Pow(0.88, float64(n-2))) {
			return ghost, true
		}
	}
	return 0, false
}

// ullage is the true distance from face to water surface, or to the board held under the sensor.
func (i *Installation) ullage() float64 {
	if i.cond.board50 > 0 {
		return i.cond.board50
	}
	return faceHeight - i.cond.sunk - i.water.level
}

// fromWater is the echo of the surface, with all that weakens it.
func (i *Installation) fromWater() heard {
	c, e := &i.cond, &i.echo
	d := i.ullage()
	if c.board50 == 0 {
		d += i.wave()
		d -= c.foam * math.Abs(0.6+0.5*e.foam)
	}
	margin := i.margin(d)
	e.quality = margin
	if margin < 0 || d > c.hears {
		return heard{lost: true}
	}
	if d < blankingDist+0.2 && c.twice > 0 && i.chance(c.twice) {
		d *= 2
	} else if d < blankingDist {
		if !i.chance(0.35) {
			return heard{lost: true}
		}
		d = 2*d + 0.002*i.rng.NormFloat64()
	}
	h := i.at(d + jitter*i.rng.NormFloat64())
	if margin < 8 && i.chance(0.3) {
		h.seconds += cycle
	}
	return i.weakEcho(h, margin, d)
}

// weakEcho: with little left over the threshold the ranger now and then takes ring-down or noise for an echo.
func (i *Installation) weakEcho(h heard, margin, d float64) heard {
	if margin < 6 && i.chance(0.06+0.012*(6-margin)) {
		return i.at(blankingDist + 0.02 + (d-blankingDist)*0.6*i.rng.Float64())
	}
	return h
}

// margin in dB over the threshold: the surface is a mirror at twice the distance, so spreading goes with the
// path 2d and absorption along it; a tilted sensor loses on sending and on hearing.
func (i *Installation) margin(d float64) float64 {
	c, e := &i.cond, &i.echo
	loss := 20*math.Log10(d) + i.air.loss*2*(d-1)
	loss += 2 * 6 * (c.tilt / beamHalf) * (c.tilt / beamHalf)
	loss += c.lossDB + c.faceDB + c.fadeDB*e.fade
	loss += 16 * math.Min(c.sensorDrop, 2)
	if c.damp > 0 {
		loss += c.damp * (24 + 9*e.fade)
	}
	if c.damp > 0 || c.faceDB > 0 {
		loss += 6 * i.air.dew(i.now)
	}
	return budget - loss + 2.5*i.rng.NormFloat64()
}

// wave is the height of the surface over the mean under the beam now, measured downwards.
func (i *Installation) wave() float64 {
	p := &i.echo.phase
	return i.water.waves * 1.414 * (0.7*math.Sin(p[0]) + 0.55*math.Sin(p[1]) + 0.45*math.Sin(p[2]))
}
