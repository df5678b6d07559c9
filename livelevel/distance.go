package livelevel

import (
	"math"

	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/livelevel/tank"
)

// facts are what the gauge needs of a site sheet, NaN where it is not known.
type facts struct {
	face, full, empty  float64
	assumed            float64 // speed that the firmware divides by
	airTemp, airTempU  float64
	tiltRel            float64 // what the tilt does to a distance, relative standard uncertainty
	airAssumed         bool    // the temperature is no more than a preset
	humidity           float64 // percent
	humidityU          float64
	tankHeight         float64
	shape              tank.Shape
	faceU, tilt, areaU float64 // tilt: the greatest, rad; areaU: relative standard uncertainty of the tank's cross-section
}

// Documented defaults for what a sheet does not say, each a rectangular half-width. Common practice,
// no source.
const (
	defaultFaceHalf  = 0.005 // m: a tape held to the tank's bottom
	defaultTilt      = 2 * math.Pi / 180
	feedTempHalf     = 2.0 // K: the controller's sensor does not sit in the middle of the air column
	sheetTempHalf    = 5.0 // K: a temperature read once and written down
	noTempHalf       = 15.0
	dampAir          = 75.0 // percent: air over water is damp
	dampAirHalf      = 25.0
	feedHumidityHalf = 10.0
	defaultSizeRel   = 0.005 // of a length of the tank
)

var root3 = math.Sqrt(3)

func known(f site.Fact) float64 {
	if f.Known() {
		return f.V
	}
	return math.NaN()
}

func uncertainty(f site.Fact, half float64) float64 {
	if f.Known() && f.U > 0 {
		return f.U
	}
	return half / root3
}

func factsOf(s *site.Sheet) facts {
	if s == nil {
		s = &site.Sheet{}
	}
	f := facts{
		face: known(s.Sensor.FaceHeight), full: known(s.Marks.Full), empty: known(s.Marks.Empty),
		assumed: known(s.Sensor.AssumedSpeed),
		airTemp: known(s.Sensor.AirTemperature), airTempU: uncertainty(s.Sensor.AirTemperature, sheetTempHalf),
		humidity:   100 * known(s.Sensor.AirHumidity),
		humidityU:  100 * uncertainty(s.Sensor.AirHumidity, feedHumidityHalf/100),
		tankHeight: known(s.Tank.Height),
		shape:      s.Tank.Shape,
		faceU:      uncertainty(s.Sensor.FaceHeight, defaultFaceHalf),
		tilt:       tiltOf(s.Sensor.Tilt),
		airAssumed: s.Sensor.AirTemperature.Origin <= site.Assumed,
		areaU:      areaUncertainty(&s.Tank),
	}
	f.tiltRel = (1 - math.Cos(f.tilt)) / root3
	if math.IsNaN(f.humidity) {
		f.humidity, f.humidityU = dampAir, dampAirHalf/root3
	}
	return f
}

// tiltOf is the greatest tilt that a sheet allows for.
func tiltOf(f site.Fact) float64 {
	if !f.Known() {
		return defaultTilt
	}
	return math.Abs(f.V) + root3*f.U
}

// areaUncertainty is the relative standard uncertainty of the cross-section: twice that of a
// diameter, or of length and width together.
func areaUncertainty(t *site.Tank) float64 {
	rel := func(f site.Fact) float64 {
		if f.Known() && f.U > 0 && f.V > 0 {
			return f.U / f.V
		}
		return defaultSizeRel / root3
	}
	switch {
	case t.Length.Known() && t.Width.Known():
		return math.Hypot(rel(t.Length), rel(t.Width))
	case t.Length.Known() && t.Diameter.Known():
		return math.Hypot(rel(t.Length), rel(t.Diameter))
	}
	return 2 * rel(t.Diameter)
}

// basis says what the followed distance is counted from.
type basis uint8

const (
	noBasis     basis = iota
	fromFace          // true ullage
	fromBottom        // minus the height: no face height known
	fromPercent       // minus the percent, a hundredth of a metre each: no marks known
)

// sample is what one reading says of the distance.
type sample struct {
	d      float64 // the followed distance, m
	native float64 // as the feed sent it, for its digits
	scale  float64 // metres of d for one unit of native
	corr   float64 // what the firmware's own distance was multiplied by
	basis  basis
}

// farthest is beyond any tank; a NaN is not within it either.
const farthest = 50.0

// distance finds this reading's own distance; ok is false where the reading carries none.
func (g *Gauge) distance(r *Reading) (s sample, ok bool) {
	if r.EchoLost {
		return s, false
	}
	s = g.sample(r)
	return s, s.basis != noBasis && math.Abs(s.d) <= farthest
}

func (g *Gauge) sample(r *Reading) sample {
	if t, ok := r.Get(Echo); ok {
		return sample{g.air.speed * t / 2, t * 200, g.air.speed / 400, 1, fromFace}
	}
	c := g.correction()
	for _, role := range [...]Role{UllageRaw, Ullage} {
		if d, ok := r.Get(role); ok {
			return sample{d * c, d, c, c, fromFace}
		}
	}
	if h, ok := r.Get(LevelHeight); ok {
		return g.fromHeight(h, h, 1, c)
	}
	if p, ok := r.Get(LevelPercent); ok {
		if span := g.marks.span(); !math.IsNaN(span) {
			return sample{(g.marks.empty - p/100*span) * c, p / 100, math.Abs(span) * c, c, fromFace}
		}
		return sample{-p / 100, p / 100, 1, 1, fromPercent}
	}
	if v, ok := r.Get(VolumeRole); ok && g.facts.shape != nil {
		h := g.facts.shape.Level(v)
		return g.fromHeight(h, v, 1/max(g.facts.shape.Area(h), 1e-3), c)
	}
	return sample{}
}

// fromHeight turns the height that a firmware computed back into the distance that it measured.
func (g *Gauge) fromHeight(h, native, scale, c float64) sample {
	if math.IsNaN(g.facts.face) {
		return sample{-h, native, scale, 1, fromBottom}
	}
	return sample{(g.facts.face - h) * c, native, scale * c, c, fromFace}
}

// correction puts right a distance that the firmware computed with a fixed speed of sound; 1 where
// that speed or the air's temperature is not known.
func (g *Gauge) correction() float64 {
	if math.IsNaN(g.facts.assumed) || math.IsNaN(g.air.temp) || g.facts.assumed <= 0 {
		return 1
	}
	return g.air.speed / g.facts.assumed
}
