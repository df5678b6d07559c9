// Package tank turns heights into volumes and back for the shapes tanks come in.
package tank

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
