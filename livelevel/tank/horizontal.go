package tank

import (
	"fmt"
	"math"
)

// Heads are both ends of a horizontal cylinder.
type Heads struct {
	Kind HeadKind
	// Depth of an ellipsoidal head or a spherical cap; zero for an ellipsoidal head means 2:1, a
	// quarter of the diameter.
	Depth float64
	// Dish and Knuckle are the radii of a torispherical head as shares of the diameter; zero means
	// 1 and 0.06.
	Dish, Knuckle float64
}

// HeadKind is the form of a head.
type HeadKind uint8

// The forms of heads.
const (
	Flat HeadKind = iota
	Ellipsoidal
	Torispherical
	Hemispherical
	SphericalCap
)

// Horizontal is a lying cylinder with two equal heads; length is that of the straight part.
type horizontal struct {
	radius, length float64
	heads          head
}

// head is the pair of heads together, up to level h; nil for flat ones.
type head interface {
	volume(h float64) float64
	area(h float64) float64
}

// HorizontalCylinder is a lying cylinder; length is that of the straight part, without the heads.
func HorizontalCylinder(diameter, length float64, heads Heads) (Shape, error) {
	if err := firstError(positive("diameter", diameter), positive("length", length)); err != nil {
		return nil, err
	}
	pair, err := newHeads(diameter, heads)
	if err != nil {
		return nil, err
	}
	return &horizontal{diameter / 2, length, pair}, nil
}

// Sphere is a spherical tank.
func Sphere(diameter float64) (Shape, error) {
	if err := positive("diameter", diameter); err != nil {
		return nil, err
	}
	return &horizontal{diameter / 2, 0, ellipsoids{diameter / 2, diameter / 2}}, nil
}

func newHeads(diameter float64, h Heads) (head, error) {
	r := diameter / 2
	if h.Depth < 0 || h.Depth > diameter || math.IsNaN(h.Depth) {
		return nil, fmt.Errorf("head depth %g m does not fit a diameter of %g m", h.Depth, diameter)
	}
	switch h.Kind {
	case Flat:
		return nil, nil
	case Hemispherical:
		return ellipsoids{r, r}, nil
	case Ellipsoidal:
		if h.Depth == 0 {
			h.Depth = diameter / 4
		}
		return ellipsoids{r, h.Depth}, nil
	case SphericalCap:
		if h.Depth == 0 || h.Depth > r {
			return nil, fmt.Errorf("a spherical cap head needs a depth above zero and up to half the diameter, %g m", r)
		}
		return newDish(r, capPieces(r, h.Depth)), nil
	case Torispherical:
		pieces, err := torispherical(diameter, h.Dish, h.Knuckle)
		if err != nil {
			return nil, err
		}
		return newDish(r, pieces), nil
	}
	return nil, fmt.Errorf("unknown form of head %d", h.Kind)
}

func (c *horizontal) Height() float64 { return 2 * c.radius }

func (c *horizontal) Volume(h float64) float64 {
	h = clamp(h, 2*c.radius)
	v := c.length * segment(c.radius, h)
	if c.heads != nil {
		v += c.heads.volume(h)
	}
	return v
}

func (c *horizontal) Area(h float64) float64 {
	h = clamp(h, 2*c.radius)
	a := c.length * chord(c.radius, h)
	if c.heads != nil {
		a += c.heads.area(h)
	}
	return a
}

func (c *horizontal) Level(v float64) float64 { return solve(c, v) }

// segment is the area of a disc of radius r below height h over its lowest point.
func segment(r, h float64) float64 {
	switch {
	case h <= 0 || r <= 0:
		return 0
	case h >= 2*r:
		return math.Pi * r * r
	}
	// With the angle θ from the lowest point to the waterline, h = r(1-cos θ): the form
	// θ - sin θ cos θ loses digits for small θ, where its series is used.
	theta := 2 * math.Asin(min(1, math.Sqrt(h/(2*r))))
	if theta < 0.02 {
		t2 := theta * theta
		return r * r * theta * t2 * (2.0/3 - t2*(2.0/15-t2*4.0/315))
	}
	return r * r * (theta - math.Sin(2*theta)/2)
}

// chord is the width of that disc at height h.
func chord(r, h float64) float64 { return 2 * math.Sqrt(max(0, h*(2*r-h))) }

// ellipsoids are two half ellipsoids of that depth: together one whole.
type ellipsoids struct{ radius, depth float64 }

func (e ellipsoids) volume(h float64) float64 {
	return math.Pi * e.depth * h * h * (1 - h/(3*e.radius))
}

func (e ellipsoids) area(h float64) float64 {
	return math.Pi * e.depth * h * (2 - h/e.radius)
}
