package rig

import "math"

// dipCheck compares the controller's distance, percent and volume with tape and stick.
func (i *Installation) dipCheck() string {
	c := i.copied()
	t := c.play(20)
	gap := faceHeight - c.cond.sunk - c.water.level
	none := t.lostShare() > 0.9 || t.jumpShare() > 0.25 || i.frozen()
	off := median(t.distances) - gap
	percent := 100 * (c.water.level - (faceHeight - i.record().empty)) / (i.record().empty - i.record().full)
	percentOff := median(t.percents) - percent
	volumeOff := median(t.volumes)/c.water.volume - 1
	return pick("agrees",
		is(none || math.Abs(off) > 0.25*gap && !i.proportional(), "no relation"),
		is(math.Abs(off) > 0.015 && i.proportional(), "off by a share of the distance"),
		is(math.Abs(off) > 0.015, "off by a fixed amount"),
		is(!(math.Abs(percentOff) < 3), "distance right but percent wrong"),
		is(math.Abs(volumeOff) > 0.06, "volume wrong only"))
}

// proportional tells whether the error grows with the distance, by boards held at two distances.
func (i *Installation) proportional() bool {
	off := func(d float64) float64 {
		c := i.copied()
		c.tests = append(c.tests, test{"board", c.now, c.now + 30, heldAt(d)})
		c.recompute()
		c.play(1)
		t := c.play(8)
		return median(t.distances) - d
	}
	near, far := off(0.5), off(1.2)
	return math.Abs(far) > 0.02 && near*far > 0 && math.Abs(far/near-2.4) < 0.8
}

// record is the conditions that stand in the site sheet.
func (i *Installation) record() conditions {
	c := healthy()
	for k := range i.faults {
		if f := &i.faults[k]; f.At == 0 && recorded[f.ID] {
			f.cause.effect(&c, f.Severity)
		}
	}
	return c
}

// fullStop plays the end of a real fill, and five minutes more.
func (i *Installation) fullStop() string {
	c := i.copied()
	c.settleBoot()
	full := faceHeight - i.record().empty + i.record().fullSet/100*(i.record().empty-i.record().full)
	c.pour(full - 0.04 - c.water.level)
	c.play(2)
	c.board.lastStop = -c.cond.minOff
	c.runPump()
	for n := 0; n < 400 && c.pump.powered || n < 3; n++ {
		c.play(1)
		if c.water.level > full+0.03 {
			return "runs past full"
		}
	}
	stopped := c.water.level
	if c.pump.powered {
		return "runs past full" // it does not stop
	}
	rest := c.play(300)
	return pick("stops at full and stays", is(c.water.level > full+0.02 && rest.flowed > 0, "runs past full"),
		is(stopped < full-0.025, "stops too early"), is(rest.rise > 0.02e-3, "stops but the level rises on"))
}

// runPump makes the pump run by the program's command, whichever way round the relay is.
func (i *Installation) runPump() {
	for _, on := range []bool{true, false} {
		i.command(on)
		i.play(0.1)
		if i.pump.powered {
			return
		}
	}
}

// autoStart lets the level fall below low set and waits for the pump.
func (i *Installation) autoStart() string {
	c := i.copied()
	c.settleBoot()
	low := faceHeight - i.record().empty + i.record().low/100*(i.record().empty-i.record().full)
	c.pour(math.Max(low-0.04, c.cond.outlet) - c.water.level)
	from, turned := c.now, false
	for n := 0; n < 90 && c.board.lastOn <= from; n++ {
		c.play(1)
	}
	called := c.board.lastOn > from || c.board.called
	for range 40 {
		c.play(1)
		turned = turned || c.pump.turning
	}
	t := c.play(20)
	return pick("starts but no rise", is(!called, "not called"), is(!turned, "called but no start"),
		is(t.rise > 0.1e-3, "starts by itself and the level rises"))
}

// stillFalls watches the level with the pump held, before and after a way out is shut. The customer's ordinary draw
// is known and does not count.
func (i *Installation) stillFalls(id string) string {
	ordinary := 1.2 * baseDraw / i.tank.area(i.water.level)
	fall := func(id string) float64 {
		c := i.copied()
		if err := c.Do(id); err != nil {
			return 0
		}
		c.play(10)
		t := c.play(280)
		return -t.rise - ordinary
	}
	if fall("pump-isolated") < 0.03e-3 {
		return "was not falling"
	}
	return pick("stands still now", is(fall(id) > 0.03e-3, "falls on"))
}

// howLongWell switches off and on and waits for the trouble. The rig shortens what takes days in the world: there the
// customer's account is the answer.
func (i *Installation) howLongWell() string {
	c := &i.cond
	switch {
	case !i.board.powered || c.noProgram || c.strapped || c.busStuck:
		return "does not come up"
	case c.stopsAfter > 0 || c.interrupted > 0:
		return "days or weeks"
	case c.hangsEvery > 0:
		return "minutes or hours"
	}
	n := i.copied()
	n.powerCycle()
	n.settleBoot()
	for second := range 600 {
		if t := n.play(1); t.restarts > 0 || n.board.hung {
			return pick("minutes or hours", is(second < 30, "seconds"))
		}
	}
	return "runs on"
}
