package tank

import (
	"fmt"
	"math"
	"sync"
)

// piece is a part of a head's profile as a curve over an angle from 0 to end: the radius of the head
// there, which falls from one piece to the next, and how far along the axis one goes per angle.
type piece struct {
	end    float64
	radius func(angle float64) float64
	step   func(angle float64) float64
}

// capPieces is part of a ball: radius r at the rim, depth a.
func capPieces(r, a float64) []piece {
	ball := (r*r + a*a) / (2 * a)
	return []piece{ballPiece(ball, math.Asin(min(1, r/ball)))}
}

// ballPiece runs from the rim, at the half angle from the axis, to the crown.
func ballPiece(ball, half float64) piece {
	return piece{
		end:    half,
		radius: func(x float64) float64 { return ball * math.Sin(half-x) },
		step:   func(x float64) float64 { return ball * math.Sin(half-x) },
	}
}

// torispherical is a knuckle that runs from the cylinder into a dish: the torus of radius k D ends
// where its slope is that of the ball of radius f D, at the angle asin((1-2k)/(2(f-k))) from the axis.
func torispherical(diameter, f, k float64) ([]piece, error) {
	if f == 0 {
		f = 1
	}
	if k == 0 {
		k = 0.06
	}
	if !(f > 0.5 && f <= 5 && k > 0 && k < 0.5) {
		return nil, fmt.Errorf("a torispherical head has a dish radius above half the diameter and a knuckle radius below it, not %g and %g diameters", f, k)
	}
	half := math.Asin((1 - 2*k) / (2 * (f - k)))
	knuckle := k * diameter
	torus := piece{
		end:    math.Pi/2 - half,
		radius: func(x float64) float64 { return diameter/2 - knuckle*(1-math.Cos(x)) },
		step:   func(x float64) float64 { return knuckle * math.Cos(x) },
	}
	return []piece{torus, ballPiece(f*diameter, half)}, nil
}

// dishNodes is the fineness of the table from which a dish is read; 256 steps of the angle of the
// waterline leave less than 1e-7 of the volume to the interpolation.
const dishNodes = 256

// dish is a pair of heads whose volume has no closed form. It is integrated once, at even steps of
// the angle θ of the waterline, h = r(1-cos θ), over which the volume is smooth, and read from there.
type dish struct {
	radius        float64
	volumes, rise [dishNodes + 1]float64 // and dV/dθ
}

func newDish(r float64, pieces []piece) *dish {
	d := &dish{radius: r}
	for i := range d.volumes {
		theta := math.Pi * float64(i) / dishNodes
		h := r * (1 - math.Cos(theta))
		for _, p := range pieces {
			v, a := p.below(r, h)
			d.volumes[i] += 2 * v
			d.rise[i] += 2 * a * r * math.Sin(theta)
		}
	}
	return d
}

// below integrates the piece up to level h: its volume and free surface. Where the head has become
// narrower than the waterline is away from the axis, it is dry, or full: the integral is split there.
func (p piece) below(r, h float64) (volume, area float64) {
	away := math.Abs(r - h)
	split := p.end
	if p.radius(0) > away && p.radius(p.end) < away {
		split = p.find(away)
	}
	for _, part := range [][2]float64{{0, split}, {split, p.end}} {
		integrate(part[0], part[1], func(x, weight float64) {
			rx, dx := p.radius(x), p.step(x)*weight
			volume += segment(rx, h-(r-rx)) * dx
			area += chord(rx, h-(r-rx)) * dx
		})
	}
	return volume, area
}

// find is the angle at which the radius has fallen to that of the waterline.
func (p piece) find(radius float64) float64 {
	low, high := 0.0, p.end
	for range 60 {
		mid := (low + high) / 2
		if p.radius(mid) > radius {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

func (d *dish) at(h float64) (i int, t float64) {
	theta := 2 * math.Asin(math.Sqrt(clamp(h/(2*d.radius), 1)))
	x := theta / math.Pi * dishNodes
	i = min(int(x), dishNodes-1)
	return i, x - float64(i)
}

// slopes of the cell, in volume per cell; bounded so that the cubic rises everywhere in it.
func (d *dish) slopes(i int) (from, to, delta float64) {
	delta = d.volumes[i+1] - d.volumes[i]
	scale := math.Pi / dishNodes
	return min(d.rise[i]*scale, 3*delta), min(d.rise[i+1]*scale, 3*delta), delta
}

func (d *dish) volume(h float64) float64 {
	i, t := d.at(h)
	from, to, delta := d.slopes(i)
	return d.volumes[i] + t*(from+t*((3*delta-2*from-to)+t*(from+to-2*delta)))
}

func (d *dish) area(h float64) float64 {
	i, t := d.at(h)
	from, to, delta := d.slopes(i)
	perCell := from + t*(2*(3*delta-2*from-to)+3*t*(from+to-2*delta))
	slope := chord(d.radius, h) / 2 // dh/dθ = r sin θ
	if slope == 0 {
		return 0
	}
	return max(0, perCell*dishNodes/math.Pi/slope)
}

// integrate calls f with points and weights over a..b. The ends are approached quadratically, so
// that the square roots of a waterline near the rim cost no digits.
func integrate(a, b float64, f func(x, weight float64)) {
	if b <= a {
		return
	}
	for _, g := range gauss() {
		u := (g.x + 1) / 2
		f(a+(b-a)*u*u*(3-2*u), g.w/2*6*u*(1-u)*(b-a))
	}
}

type gaussPoint struct{ x, w float64 }

// gauss are the 24 points of Gauss and Legendre on -1..1, by Newton's method on the polynomial.
var gauss = sync.OnceValue(func() []gaussPoint {
	const n = 24
	points := make([]gaussPoint, n)
	for i := range points {
		x := math.Cos(math.Pi * (float64(i) + 0.75) / (n + 0.5))
		var slope float64
		for range 20 {
			p, before := 1.0, 0.0
			for j := 1; j <= n; j++ {
				p, before = (float64(2*j-1)*x*p-float64(j-1)*before)/float64(j), p
			}
			slope = n * (x*p - before) / (x*x - 1)
			x -= p / slope
		}
		points[i] = gaussPoint{x, 2 / ((1 - x*x) * slope * slope)}
	}
	return points
})
