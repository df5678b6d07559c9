package rig

import (
	"fmt"
	"math"
	"strings"
)

// vessel is a tank: volume and free surface by height above the lowest inside point. The rig has its
// own geometry, so that a slip in the program's cannot cancel itself out on the practice rig.
type vessel struct {
	shape  string
	height float64
	sheet  []string // its lines on the site sheet
	vol    func(h float64) float64
	area   func(h float64) float64
}

func newVessel(shape string) (vessel, error) {
	switch strings.TrimSpace(shape) {
	case "", "vertical cylinder":
		return upright(1.10, 1.60), nil
	case "box":
		return box(1.20, 0.80, 1.60), nil
	case "horizontal cylinder":
		return lying(1.60, 1.00), nil
	case "sphere":
		return ball(1.60), nil
	case "cone bottom":
		return coned(1.10, 1.60, 0.30), nil
	}
	return vessel{}, fmt.Errorf("building the rig's tank: shape %q is unknown (vertical cylinder, box, horizontal cylinder, sphere, cone bottom)", shape)
}

func upright(d, height float64) vessel {
	a := math.Pi * d * d / 4
	return vessel{"vertical cylinder", height, []string{sizeLine("diameter", d), sizeLine("height", height)},
		func(h float64) float64 { return a * h }, func(float64) float64 { return a }}
}

func box(l, w, height float64) vessel {
	return vessel{"box", height, []string{sizeLine("length", l), sizeLine("width", w), sizeLine("height", height)},
		func(h float64) float64 { return l * w * h }, func(float64) float64 { return l * w }}
}

// lying is a horizontal cylinder with flat heads: L (R^2 acos((R-h)/R) - (R-h) sqrt(2Rh-h^2)), textbook.
func lying(d, l float64) vessel {
	r := d / 2
	return vessel{"horizontal cylinder", d, []string{sizeLine("diameter", d), sizeLine("length", l), "heads: flat"},
		func(h float64) float64 {
			return l * (r*r*math.Acos((r-h)/r) - (r-h)*math.Sqrt(max(2*r*h-h*h, 0)))
		},
		func(h float64) float64 { return 2 * l * math.Sqrt(max(2*r*h-h*h, 1e-6)) }}
}

// ball is a sphere: pi h^2 (3R-h)/3, textbook.
func ball(d float64) vessel {
	r := d / 2
	return vessel{"sphere", d, []string{sizeLine("diameter", d)},
		func(h float64) float64 { return math.Pi * h * h * (3*r - h) / 3 },
		func(h float64) float64 { return math.Pi * max(2*r*h-h*h, 1e-6) }}
}

// coned is an upright cylinder on a cone with its tip down.
func coned(d, height, cone float64) vessel {
	a := math.Pi * d * d / 4
	return vessel{"cone bottom", height, []string{sizeLine("diameter", d), sizeLine("cone_height", cone), sizeLine("height", height)},
		func(h float64) float64 {
			if h < cone {
				return a * h * h * h / (3 * cone * cone)
			}
			return a * (cone/3 + h - cone)
		},
		func(h float64) float64 {
			if h < cone {
				return max(a*h*h/(cone*cone), 1e-6)
			}
			return a
		}}
}

func sizeLine(name string, v float64) string { return fmt.Sprintf("%s: %.2f m", name, v) }

func (v *vessel) clamp(h float64) float64 { return min(max(h, 0), v.height) }

func (v *vessel) volume(h float64) float64 { return v.vol(v.clamp(h)) }

// level is the height that holds a volume: Newton's steps from a good guess, kept inside the tank.
func (v *vessel) level(vol, guess float64) float64 {
	h := v.clamp(guess)
	for range 50 {
		off := v.vol(h) - vol
		if math.Abs(off) < 1e-12 {
			break
		}
		h = v.clamp(h - off/v.area(h))
	}
	return h
}
