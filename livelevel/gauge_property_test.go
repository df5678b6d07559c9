package livelevel

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
)

// hostileNumbers are what a broken board, a wrong dialect or a wicked sender puts where a value belongs.
var hostileNumbers = []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -math.MaxFloat64, 5e-324, 1e-300, -1e-9,
	0, math.Copysign(0, -1), -1, -127, -273.15, 65535, 4294967295, 1e16, 50, 49.999999, 1.75, 0.35, 100}

// hostileTimes are the moments at which such a reading may claim to be.
var hostileTimes = []time.Time{{}, time.Unix(0, 0), feedStart, feedStart.Add(-time.Hour), feedStart.AddDate(300, 0, 0),
	time.Date(9999, 12, 31, 23, 59, 59, 999999999, time.UTC), time.Date(-5000, 1, 1, 0, 0, 0, 0, time.UTC)}

func hostileReading(t *rapid.T, clock *float64) Reading {
	*clock += rapid.Float64Range(0, 5).Draw(t, "later")
	r := Reading{Time: feedStart.Add(time.Duration(*clock * float64(time.Second)))}
	if rapid.IntRange(0, 4).Draw(t, "clock") == 0 {
		r.Time = rapid.SampledFrom(hostileTimes).Draw(t, "time")
	}
	r.EchoLost = rapid.IntRange(0, 5).Draw(t, "lost") == 0
	r.Kind = Kind(rapid.IntRange(0, 8).Draw(t, "kind"))
	if rapid.Bool().Draw(t, "report") {
		r.Kind = Report
	}
	for range rapid.IntRange(0, 4).Draw(t, "values") {
		v := rapid.Float64Range(-3, 6).Draw(t, "value")
		if rapid.Bool().Draw(t, "hostile") {
			v = rapid.SampledFrom(hostileNumbers).Draw(t, "number")
		}
		r.Set(Role(rapid.IntRange(0, RoleCount-1).Draw(t, "role")), v)
	}
	return r
}

// anySheet lacks what it may, and holds the extremes that the parser of sheets lets through.
func anySheet(t *rapid.T, s *site.Sheet) *site.Sheet {
	switch rapid.IntRange(0, 3).Draw(t, "sheet") {
	case 0:
		return nil
	case 1:
		return &site.Sheet{}
	}
	for _, k := range []struct {
		fact      *site.Fact
		low, high float64
		dim       quantity.Dim
	}{
		{&s.Sensor.FaceHeight, 0.001, 50, quantity.Length}, {&s.Sensor.AssumedSpeed, 250, 450, quantity.Speed},
		{&s.Sensor.AirTemperature, -60, 90, quantity.Temperature}, {&s.Sensor.AirHumidity, 0, 1, quantity.Ratio},
		{&s.Sensor.Tilt, 0, 80 * math.Pi / 180, quantity.Angle}, {&s.Marks.Full, 0, 50, quantity.Length},
		{&s.Marks.Empty, 0, 50, quantity.Length}, {&s.Tank.Height, 0.001, 50, quantity.Length}, {&s.Tank.Diameter, 0.001, 50, quantity.Length},
	} {
		switch rapid.IntRange(0, 5).Draw(t, "fact") {
		case 0:
			*k.fact = site.Fact{}
		case 1:
			*k.fact = fact(k.low, 0, k.dim)
		case 2:
			*k.fact = fact(k.high, 0, k.dim)
		}
	}
	return s
}

// Whatever comes: no panic, no infinite figure, no negative uncertainty, and nothing stated where
// nothing is known.
func TestHostileReadingsNeverPoisonALevel(t *testing.T) {
	whole := *fullSheet(t)
	rapid.Check(t, func(t *rapid.T) {
		s := whole
		g := NewGauge(anySheet(t, &s))
		clock := 0.0
		for range rapid.IntRange(1, 120).Draw(t, "n") {
			r := hostileReading(t, &clock)
			sane(t, g.Add(r))
			b := g.Budget()
			if math.IsInf(b.U, 0) || b.U < 0 || b.Largest == "" {
				t.Fatalf("budget %+v", b)
			}
		}
	})
}

func sane(t *rapid.T, l Level) {
	for name, v := range map[string]float64{"ullage": l.Ullage, "height": l.Height, "volume": l.Volume, "rate": l.Rate,
		"u": l.U, "rate u": l.RateU, "volume u": l.UVolume, "percent": l.Percent} {
		if math.IsInf(v, 0) {
			t.Fatalf("%s is infinite: %+v", name, l)
		}
	}
	if l.U < 0 || l.RateU < 0 || l.UVolume < 0 {
		t.Fatalf("negative uncertainty: %+v", l)
	}
	if l.How == Unknown && (l.Ullage == l.Ullage || l.Height == l.Height || l.U == l.U) {
		t.Fatalf("states a level that it does not know: %+v", l)
	}
	if l.How != Unknown && !(l.U >= 0) {
		t.Fatalf("states a level without its uncertainty: %+v", l)
	}
}

// After any such sequence a minute of clean readings brings the truth back: the gauge holds no grudge.
func TestTheGaugeRecoversFromHostileReadings(t *testing.T) {
	whole := *fullSheet(t)
	rapid.Check(t, func(t *rapid.T) {
		s := whole
		g := NewGauge(&s)
		clock := 0.0
		for range rapid.IntRange(1, 120).Draw(t, "n") {
			r := hostileReading(t, &clock)
			for _, role := range []Role{FullMark, EmptyMark, AirTemperature, Humidity} {
				if v, ok := r.Get(role); ok && v == v { // what the board says of itself is believed: another test
					r = Reading{Time: r.Time, EchoLost: true}
				}
			}
			g.Add(r)
		}
		depth := rapid.Float64Range(0.3, 1.7).Draw(t, "ullage")
		var l Level
		for i := range 600 {
			l = g.Add(at(clock+10+float64(i)/10, Ullage, depth))
		}
		if math.Abs(l.Ullage-depth) > 0.01 || !(l.U < 0.05) {
			t.Fatalf("after a minute at %v it says %v ± %v, %v %s", depth, l.Ullage, l.U, l.How, l.Why)
		}
	})
}
