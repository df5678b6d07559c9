package visit

import (
	"math"
	"time"

	"example.org/tankhand/livelevel/dip"
)

// DipMade is the kind of a series of the dip tape against the gauge.
const DipMade Kind = "dip"

// DipBody is a series of the dip tape against the gauge, As found or As left, with what it says.
// Lengths in metres; a figure that the series cannot tell is absent.
type DipBody struct {
	When             string     `json:"when"`
	Points           []DipPoint `json:"points"`
	Offset           *float64   `json:"offset_m,omitempty"`
	Span             *float64   `json:"span,omitempty"`
	Inaccuracy       *float64   `json:"inaccuracy_m,omitempty"`
	Hysteresis       *float64   `json:"hysteresis_m,omitempty"`
	NonRepeatability *float64   `json:"non_repeatability_m,omitempty"`
	NonLinearity     *float64   `json:"non_linearity_m,omitempty"`
}

// DipPoint is one level by the tape and by the gauge.
type DipPoint struct {
	Tape  float64 `json:"tape_m"`
	Gauge float64 `json:"gauge_m"`
	Down  bool    `json:"down,omitempty"`
}

func (DipBody) kind() Kind { return DipMade }

// DipAt is a dip series at a time.
type DipAt struct {
	At time.Time
	DipBody
}

// RecordDip makes a dip series storable.
func RecordDip(when string, points []dip.Point, r dip.Report) DipBody {
	b := DipBody{When: when, Offset: number(r.Offset), Span: number(r.Span), Inaccuracy: number(r.Inaccuracy),
		Hysteresis: number(r.Hysteresis), NonRepeatability: number(r.NonRepeatability), NonLinearity: number(r.NonLinearity)}
	for _, p := range points {
		b.Points = append(b.Points, DipPoint{p.Tape, p.Gauge, p.Down})
	}
	return b
}

// Compare works the series out again, its proposed correction included.
func (b DipBody) Compare() (dip.Report, error) {
	points := make([]dip.Point, 0, len(b.Points))
	for _, p := range b.Points {
		points = append(points, dip.Point{Tape: p.Tape, Gauge: p.Gauge, Down: p.Down})
	}
	return dip.Compare(points)
}

// worst is the greatest error of a series, for one line.
func (b DipBody) worst() float64 {
	if b.Inaccuracy == nil {
		return math.NaN()
	}
	return *b.Inaccuracy
}
