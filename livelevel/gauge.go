package livelevel

import (
	"math"

	"example.org/tankhand/livelevel/signal"
	"example.org/tankhand/livelevel/site"
)

// Gauge turns readings into levels: robustly, with uncertainty, by the facts of the site sheet.
// It is not safe for concurrent use. It takes its time from the readings, so the same readings
// give the same levels, live or replayed.
type Gauge struct {
	facts facts
	marks marks
	air   air
	clock clock
	noise noise
	digit digits
	basis basis
	scale float64
	corr  float64 // of the last sample
	owns  bool    // the firmware corrects by temperature itself, as far as the sheet tells

	main, second track
	rival        rival
	two          bool // two populations take turns
	choice       string
	away         int          // readings in a row that belonged to the second track
	longest      int          // most of them before the main one came back
	misses       int          // readings in a row that belonged to no track
	near         float64      // residual of a near miss just before, else 0
	shift        signal.CUSUM // of the main track's residuals
	recent       ring
	frozen       freeze
}

// marks are the taught distances: the feed's own where it sends them, else the sheet's.
type marks struct{ full, empty float64 }

// NewGauge returns a gauge for an installation; an empty sheet gives ullage only.
func NewGauge(sheet *site.Sheet) *Gauge {
	f := factsOf(sheet)
	g := &Gauge{facts: f, marks: marks{f.full, f.empty}}
	g.air = air{temp: f.airTemp, tempU: f.airTempU, humidity: f.humidity, humidityU: f.humidityU}
	g.noise = noise{sigma: firstSigma}
	g.shift = signal.CUSUM{K: 0.5, H: 5}
	return g
}

// Add takes the next reading and returns the level as of it.
func (g *Gauge) Add(r Reading) (l Level) {
	g.AddTo(&l, &r)
	return l
}

// AddTo is Add into a level of the caller's: a week of readings need not be copied twice each.
func (g *Gauge) AddTo(l *Level, r *Reading) {
	*l = Level{}
	l.Reading, l.RawUllage, l.Second = *r, math.NaN(), math.NaN()
	now := g.clock.at(r)
	s, ok := g.listen(r, now)
	if ok && s.basis == fromFace {
		l.RawUllage = s.d
	}
	// Nothing is nearer than the face: a zero is a word for "no echo" that the dialect does not know.
	believable := s.d > 0 || !measured(r)
	if ok && believable && g.take(now, s.d) {
		g.hit(l, now)
	} else {
		g.coast(l, now)
	}
}

// listen takes from a reading all that is not the distance itself, and returns the distance; ok is
// false where there is none to go by.
func (g *Gauge) listen(r *Reading, now float64) (s sample, ok bool) {
	if r.Kind != Report {
		return s, false
	}
	g.breathe(r)
	g.teach(r)
	if s, ok = g.distance(r); !ok {
		return s, false
	}
	if s.basis > g.basis && g.main.hits > 0 && now-g.main.at < unknownAfter {
		return s, false // a line that says less than the others do is no new feed
	}
	if s.basis != g.basis {
		g.restart(s)
	}
	g.digit.add(s.native)
	g.scale, g.corr = s.scale, s.corr
	g.owns = math.IsNaN(g.facts.assumed) && !r.Has(Echo)
	g.frozen.add(s.native, now, g.main.slope, r)
	return s, true
}

// measured tells whether the reading carries a distance from the face as such.
func measured(r *Reading) bool { return r.Has(Echo) || r.Has(UllageRaw) || r.Has(Ullage) }

// teach takes the marks that the controller itself reports; what an erased memory holds is no mark.
func (g *Gauge) teach(r *Reading) {
	if v, ok := r.Get(FullMark); ok && v > 0 && v <= farthest {
		g.marks.full = v
	}
	if v, ok := r.Get(EmptyMark); ok && v > 0 && v <= farthest {
		g.marks.empty = v
	}
}

// leastSpan is how near to each other marks can be and still be two, m.
const leastSpan = 1e-3

// span is the distance between the marks, NaN where it is not known or no span at all.
func (m marks) span() float64 {
	if s := m.empty - m.full; math.Abs(s) >= leastSpan && math.Abs(s) <= farthest {
		return s
	}
	return math.NaN()
}

// restart forgets what was followed: the feed now speaks of another quantity.
func (g *Gauge) restart(s sample) {
	g.main, g.second, g.rival = track{}, track{}, rival{}
	g.two, g.away, g.misses = false, 0, 0
	g.digit, g.noise = digits{}, noise{sigma: firstSigma}
	g.basis = s.basis
}

// hit fills the level from the main track after a reading that belongs to it.
func (g *Gauge) hit(l *Level, now float64) {
	l.How = Smoothed
	switch {
	case g.two:
		l.How, l.Why = Chosen, g.choice
	case g.main.hits < 3:
		l.How, l.Why = Measured, "the first readings"
	case g.frozen.suspect:
		l.Why = "the same digits for long although the pump runs"
	}
	g.fill(l, now)
}

// coast fills the level when this reading gave nothing to go by.
func (g *Gauge) coast(l *Level, now float64) {
	gap := now - g.main.at
	if g.main.hits == 0 || gap > max(unknownAfter, 5*g.clock.spacing) {
		g.nothing(l)
		return
	}
	l.How, l.Why = Coasting, "carried on from the last good readings"
	switch {
	case g.two && gap <= 2:
		l.How, l.Why = Chosen, g.choice
	case l.Reading.Kind != Report && gap <= 3*g.clock.spacing:
		l.How, l.Why = Smoothed, ""
	}
	g.fill(l, now)
}

// unknownAfter is how long the gauge carries on without a usable reading, s.
const unknownAfter = 30.0

func (g *Gauge) nothing(l *Level) {
	nan := math.NaN()
	l.How, l.Why = Unknown, "no usable reading yet"
	if g.main.hits > 0 {
		l.Why = "no usable reading for too long"
	}
	l.Ullage, l.Height, l.Percent, l.Volume = nan, nan, nan, nan
	l.Rate, l.RateU, l.U, l.UVolume = nan, nan, nan, nan
}
