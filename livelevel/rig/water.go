package rig

import "math"

// water in the tank, with the account of what came and went.
type water struct {
	level, volume float64
	waves         float64 // m rms now
	falling       bool    // water comes in from the pump
	// the account, m3: first + in - out - spilt = volume, always
	first, in, out, spilt float64
}

const (
	settle      = 6.0   // s in which waves grow and die, to 1/e
	sourceHolds = 0.012 // m3 in a low source before the suction draws air
)

// stepWater integrates the mass balance over one step.
func (i *Installation) stepWater() {
	w, c := &i.water, &i.cond
	delivered := i.pump.flow
	if c.burst {
		delivered *= 0.02
	}
	w.falling = delivered > 0.05/3600
	gain := (delivered + i.otherInflow()) * step
	want := i.drawing() * step
	room := math.Max(w.volume-i.tank.volume(c.outlet), 0)
	loss := math.Min(want, room)
	w.in += gain
	w.out += loss
	w.volume += gain - loss
	if most := i.tank.volume(c.overflow); w.volume > most {
		w.spilt += w.volume - most
		w.volume = most
	}
	w.level = i.tank.level(w.volume, w.level)
	target := c.waves
	if w.falling {
		target += c.inletWaves
	}
	w.waves += (target - w.waves) * step / settle
}

func (i *Installation) otherInflow() float64 {
	in := i.cond.inflow
	if i.cond.floods && i.water.level < i.cond.overflow {
		in += 30.0 / 3600
	}
	return in
}

// drawing is what leaves through outlets, leaks and back through the pump. The customer's draw wanders a few
// percent over the quarter of an hour.
func (i *Installation) drawing() float64 {
	c := &i.cond
	out := c.draw*(1+0.04*math.Sin(2*math.Pi*i.now/900)) + orificeFlow(c.leakArea, i.water.level)
	if at := math.Mod(i.now, canEvery); at >= canFrom && at < canFrom+canFor {
		out += c.cans
	}
	if i.tested("outlets-shut") {
		out = 0
	}
	if !i.pump.turning && !i.tested("delivery-valve-shut") {
		out += c.back
	}
	return out
}

// orificeFlow through a sharp-edged hole of area a under a head of water (Torricelli with a discharge coefficient
// of 0.62, textbook).
func orificeFlow(a, head float64) float64 {
	const g = 9.80665
	return discharge * a * math.Sqrt(2*g*math.Max(head, 0))
}

const discharge = 0.62
