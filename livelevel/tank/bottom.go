package tank

import (
	"fmt"
	"math"
)

// bottomed is an upright cylinder on a cone or on half an ellipsoid.
type bottomed struct {
	area, depth, height float64
	cone                bool
}

// ConeBottom is an upright cylinder on a cone that points down; height counts from the tip.
func ConeBottom(diameter, coneHeight, height float64) (Shape, error) {
	return newBottomed(diameter, coneHeight, height, true)
}

// DishedBottom is an upright cylinder on half an ellipsoid of that depth; height counts from its
// lowest point. The depth of a 2:1 bottom is a quarter of the diameter.
func DishedBottom(diameter, depth, height float64) (Shape, error) {
	return newBottomed(diameter, depth, height, false)
}

func newBottomed(diameter, depth, height float64, cone bool) (Shape, error) {
	if err := firstError(positive("diameter", diameter), positive("depth of the bottom", depth), positive("height", height)); err != nil {
		return nil, err
	}
	if height < depth {
		return nil, fmt.Errorf("height %g m is less than the depth of the bottom, %g m; it counts from the lowest point", height, depth)
	}
	return &bottomed{disc(diameter), depth, height, cone}, nil
}

func (b *bottomed) Height() float64 { return b.height }

func (b *bottomed) Volume(h float64) float64 {
	h = clamp(h, b.height)
	x := h / b.depth
	switch {
	case b.cone && x < 1:
		return b.area * h * x * x / 3
	case b.cone:
		return b.area * (h - b.depth*2/3)
	case x < 1:
		return b.area * h * x * (1 - x/3)
	default:
		return b.area * (h - b.depth/3)
	}
}

func (b *bottomed) Area(h float64) float64 {
	x := clamp(h, b.height) / b.depth
	switch {
	case x >= 1:
		return b.area
	case b.cone:
		return b.area * x * x
	default:
		return b.area * x * (2 - x)
	}
}

func (b *bottomed) Level(v float64) float64 {
	if b.cone && v < b.area*b.depth/3 {
		return clamp(math.Cbrt(3*max(v, 0)*b.depth*b.depth/b.area), b.height)
	}
	return solve(b, v)
}
