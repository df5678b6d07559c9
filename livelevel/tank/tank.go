// Package tank turns heights into volumes and back for the shapes tanks come in.
//
// The formulas of the simple shapes are elementary geometry; those of dished heads are in the article
// "Calculating Tank Volume" (accessed 2015), whose worked examples are tests here.
package tank

import (
	"fmt"
	"math"
)

// Shape is a vessel, level counted from its lowest inside point; metres and cubic metres.
type Shape interface {
	// Height is the inside height.
	Height() float64
	// Volume at level h; h outside 0..Height is clamped.
	Volume(h float64) float64
	// Area is the free surface at level h: dV/dh.
	Area(h float64) float64
	// Level that holds volume v; v outside is clamped.
	Level(v float64) float64
}

// clamp bounds x to 0..top; a level that is not a number stays one.
func clamp(x, top float64) float64 {
	if x < 0 {
		return 0
	}
	if x > top {
		return top
	}
	return x
}

// positive refuses sizes that no vessel has.
func positive(what string, v float64) error {
	if v > 0 && !math.IsInf(v, 0) {
		return nil
	}
	return fmt.Errorf("%s is %g m; it must be above zero", what, v)
}

// prism is every vessel whose free surface is the same at each level.
type prism struct{ area, height float64 }

func (p prism) Height() float64          { return p.height }
func (p prism) Volume(h float64) float64 { return p.area * clamp(h, p.height) }
func (p prism) Area(float64) float64     { return p.area }
func (p prism) Level(v float64) float64  { return clamp(v/p.area, p.height) }

// Box is an upright rectangular tank.
func Box(length, width, height float64) (Shape, error) {
	if err := firstError(positive("length", length), positive("width", width), positive("height", height)); err != nil {
		return nil, err
	}
	return prism{length * width, height}, nil
}

// VerticalCylinder is an upright cylinder with a flat bottom.
func VerticalCylinder(diameter, height float64) (Shape, error) {
	if err := firstError(positive("diameter", diameter), positive("height", height)); err != nil {
		return nil, err
	}
	return prism{disc(diameter), height}, nil
}

func disc(diameter float64) float64 { return math.Pi / 4 * diameter * diameter }

func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// solve finds the level of a volume by Newton's method, kept inside a bracket by halving it. Volume
// grows with level in every shape, so there is one answer.
func solve(s Shape, v float64) float64 {
	low, high := 0.0, s.Height()
	if v <= s.Volume(low) {
		return low
	}
	if v >= s.Volume(high) {
		return high
	}
	h := high / 2
	for range 100 {
		excess := s.Volume(h) - v
		if excess > 0 {
			high = h
		} else {
			low = h
		}
		next := h - excess/s.Area(h)
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if next == h || math.Abs(next-h) < 1e-15*s.Height() {
			return next
		}
		h = next
	}
	return h
}
