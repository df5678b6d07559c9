package livelevel

import "math"

// The reasons of a choice.
const (
	byMoving   = "two echoes: took the one that moves, the other stands still"
	byDouble   = "two echoes: took the nearer, the other is at twice the distance"
	byTank     = "two echoes: took the one inside the tank"
	byMajority = "two echoes: took the more frequent one; which is the water is not certain"
)

// settled is after how many readings the scatter is known well enough to tell an echo apart from it.
const settled = 30

// choose decides between two populations while both are there, and says how. other tells that this
// reading belonged to the second one.
func (g *Gauge) choose(other bool) {
	if g.second.hits > 0 && math.Abs(g.main.value-g.second.value) < 2*g.gate(g.main.at, &g.main) {
		g.second = track{} // the water passes the other echo: they cannot be told apart here
	}
	g.two = g.noise.seen >= settled && g.second.since >= 5 && g.secondShare() > otherShare
	if !g.two {
		return
	}
	take, why := g.better(other)
	if take {
		g.swap()
	}
	g.choice = why
}

func (g *Gauge) secondShare() float64 {
	total := g.main.weight + g.second.weight
	if total == 0 {
		return 0
	}
	return g.second.weight / total
}

// better tells whether the second track is the better one, and why. Water moves and a ladder does
// not; the echo of an echo is twice as far; water is inside the tank; else the majority.
func (g *Gauge) better(other bool) (second bool, why string) {
	far := 2 * g.gate(g.main.at, &g.main)
	m, s := g.main.moved(), g.second.moved()
	if m > far && s < far/2 || s > far && m < far/2 {
		return s > m, byMoving
	}
	if g.basis == fromFace && g.twice() {
		return g.second.value < g.main.value, byDouble
	}
	if mi, si := g.inside(g.main.value), g.inside(g.second.value); mi != si {
		return si, byTank
	}
	return other && g.second.weight > 1.5*g.main.weight, byMajority
}

// twice tells whether one distance is twice the other, within what tilt and blanking do to it.
func (g *Gauge) twice() bool {
	near, far := min(g.main.value, g.second.value), max(g.main.value, g.second.value)
	return near > 0 && math.Abs(far-2*near) < max(leastGate, 0.03*far)
}

// inside tells whether a distance is one that water in this tank can have; true where the sheet
// does not say.
func (g *Gauge) inside(d float64) bool {
	const slack = 0.03
	if g.basis != fromFace || math.IsNaN(g.facts.face) {
		return true
	}
	return d < g.facts.face+slack && !(d < g.facts.face-g.facts.tankHeight-slack)
}
