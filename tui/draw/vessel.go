package draw

import (
	"math"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
)

// Vessel is what the gauge draws: heights in metres above the tank's bottom, NaN where unknown.
type Vessel struct {
	Kind                          string // as in the site sheet
	Asset                         string
	Height, Face, Blanking, Width float64
	ConeHeight                    float64
	BeamHalf                      float64 // rad
	FullBelow                     float64 // the full mark as it was taught: below the face
	Full, Empty, Low              float64
	LowPercent                    float64
	Level, Ullage, U              float64
	Percent, Volume               float64
	Second, SecondShare           float64 // second population: height, share of the readings
	How                           livelevel.How
}

// VesselOf gathers it from the site sheet and the level; a nil sheet gives a vessel of unknown shape.
func VesselOf(s *site.Sheet, l livelevel.Level) Vessel {
	if s == nil {
		s = &site.Sheet{}
	}
	v := Vessel{Kind: s.Tank.Kind, Asset: s.Asset, Height: value(s.Tank.Height), Face: value(s.Sensor.FaceHeight),
		Blanking: value(s.Sensor.Blanking), BeamHalf: value(s.Sensor.BeamHalfAngle), ConeHeight: value(s.Tank.ConeHeight),
		FullBelow: value(s.Marks.Full), LowPercent: math.NaN(),
		Level: l.Height, Ullage: l.Ullage, U: l.U, Percent: l.Percent, Volume: l.Volume, SecondShare: l.SecondShare, How: l.How}
	v.Full, v.Empty = v.Face-v.FullBelow, v.Face-value(s.Marks.Empty)
	v.Second = v.Face - l.Second
	v.Width = firstKnown(value(s.Tank.Diameter), value(s.Tank.Width), value(s.Tank.Length))
	if !known(v.Height) && s.Tank.Shape != nil {
		v.Height = s.Tank.Shape.Height()
	}
	v.low(s.Marks.LowSet)
	if l.How == livelevel.Unknown {
		v.Level, v.Ullage, v.Percent, v.Volume = math.NaN(), math.NaN(), math.NaN(), math.NaN()
	}
	return v
}

func (v *Vessel) low(m site.Mark) {
	v.Low = math.NaN()
	switch {
	case !m.Known():
	case m.Dim == quantity.Ratio:
		v.LowPercent = 100 * m.V
		v.Low = v.Empty + m.V*(v.Full-v.Empty)
	default:
		v.Low = v.Face - m.V
	}
}

// top is the height that the drawing's highest row shows.
func (v Vessel) top() float64 {
	if h := firstKnown(v.Height, v.Face); known(h) && h > 0 {
		return h
	}
	if known(v.Level) && v.Level > 0 {
		return 1.2 * v.Level
	}
	return 1
}

// share is how wide the vessel is at height h, from 0 to 1 of its greatest width.
func (v Vessel) share(h float64) float64 {
	t := v.top()
	x := min(1, max(0, h/t))
	switch v.Kind {
	case "sphere":
		return math.Sqrt(max(0, 1-(2*x-1)*(2*x-1)))
	case "horizontal cylinder": // seen from the side: only the dished heads are narrower above and below
		return 0.82 + 0.18*math.Sqrt(max(0, 1-(2*x-1)*(2*x-1)))
	case "cone bottom":
		if c := v.ConeHeight; known(c) && c > 0 && h < c {
			return max(0.08, h/c)
		}
	}
	return 1
}

func value(f site.Fact) float64 { return f.Or(math.NaN()) }

func firstKnown(vs ...float64) float64 {
	for _, v := range vs {
		if known(v) {
			return v
		}
	}
	return math.NaN()
}
