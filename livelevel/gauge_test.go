package livelevel

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/livelevel/sound"
	"example.org/tankhand/livelevel/tank"
)

// at is a report of one value at a number of seconds.
func at(seconds float64, role Role, v float64) Reading {
	r := Reading{Time: feedStart.Add(time.Duration(seconds * float64(time.Second)))}
	r.Set(role, v)
	return r
}

func lostAt(seconds float64) Reading {
	return Reading{Time: feedStart.Add(time.Duration(seconds * float64(time.Second))), EchoLost: true}
}

// fullSheet is an invented installation: face at 1.75 m, marks at 0.35 and 1.70 m.
func fullSheet(t testing.TB) *site.Sheet {
	t.Helper()
	s := &site.Sheet{}
	var err error
	s.Tank.Shape, err = tank.VerticalCylinder(1.10, 1.60)
	require.NoError(t, err)
	s.Tank.Height = fact(1.60, 0, quantity.Length)
	s.Tank.Diameter = fact(1.10, 0.003, quantity.Length)
	s.Sensor.FaceHeight = fact(1.75, 0.003, quantity.Length)
	s.Sensor.AirTemperature = fact(24, 1, quantity.Temperature)
	s.Sensor.AirHumidity = fact(0.9, 0.05, quantity.Ratio)
	s.Marks.Full, s.Marks.Empty = fact(0.35, 0, quantity.Length), fact(1.70, 0, quantity.Length)
	return s
}

// settle plays the same value for a while and returns the last level.
func settle(g *Gauge, role Role, v float64) (l Level) {
	for i := range 30 {
		l = g.Add(at(float64(i)/10, role, v))
	}
	return l
}

func TestGaugeTakesWhatTheFeedHas(t *testing.T) {
	s := fullSheet(t)
	c := sound.Air{Temperature: 24, Humidity: 0.9}.Speed()
	volume := math.Pi / 4 * 1.1 * 1.1 * 0.75
	cases := []struct {
		name string
		role Role
		v    float64
	}{
		{"ullage", Ullage, 1.0}, {"raw ullage", UllageRaw, 1.0}, {"echo time", Echo, 2 / c},
		{"height", LevelHeight, 0.75}, {"percent", LevelPercent, 100 * 0.70 / 1.35}, {"volume", VolumeRole, volume},
	}
	for _, k := range cases {
		t.Run(k.name, func(t *testing.T) {
			l := settle(NewGauge(s), k.role, k.v)
			assert.Equal(t, Smoothed, l.How)
			assert.InDelta(t, 1.0, l.Ullage, 1e-9)
			assert.InDelta(t, 1.0, l.RawUllage, 1e-9)
			assert.InDelta(t, 0.75, l.Height, 1e-9)
			assert.InDelta(t, 100*0.70/1.35, l.Percent, 1e-6)
			assert.InDelta(t, volume, l.Volume, 1e-9)
			assert.InDelta(t, 0, l.Rate, 1e-6)
			assert.Greater(t, l.U, 0.0)
			assert.Greater(t, l.UVolume, 0.0)
		})
	}
}

func TestGaugeCorrectsAFixedSpeed(t *testing.T) {
	s := fullSheet(t)
	s.Sensor.AssumedSpeed = fact(343, 0, quantity.Speed)
	r := at(0, Ullage, 1)
	r.Set(AirTemperature, 40)
	r.Set(Humidity, 50)
	l := NewGauge(s).Add(r)
	assert.InDelta(t, sound.Air{Temperature: 40, Humidity: 0.5}.Speed()/343, l.RawUllage, 1e-12)
	r.Set(AirTemperature, -127) // what a missing probe sends is no temperature
	l = NewGauge(s).Add(r)
	assert.InDelta(t, sound.Air{Temperature: 24, Humidity: 0.5}.Speed()/343, l.RawUllage, 1e-12)
}

// Without facts there is no figure, never a guess.
func TestGaugeWithoutFacts(t *testing.T) {
	l := settle(NewGauge(nil), Ullage, 1.0)
	assert.InDelta(t, 1, l.Ullage, 1e-9)
	assertNaN(t, l.Height, l.Percent, l.Volume, l.UVolume)
	assert.Greater(t, l.U, 0.005, "the air is not known: 15 K more or less")

	l = settle(NewGauge(nil), LevelHeight, 0.5)
	assert.InDelta(t, 0.5, l.Height, 1e-9)
	assertNaN(t, l.Ullage, l.RawUllage, l.Percent, l.Volume)

	l = settle(NewGauge(nil), LevelPercent, 40)
	assert.InDelta(t, 40, l.Percent, 1e-9)
	assertNaN(t, l.Ullage, l.Height, l.Volume, l.Rate)

	l = settle(NewGauge(nil), VolumeRole, 0.4)
	assert.Equal(t, Unknown, l.How)
	assertNaN(t, l.Ullage, l.Height, l.Percent, l.Volume, l.U)

	l = settle(NewGauge(nil), Supply, 5)
	assert.Equal(t, Unknown, l.How)
}

func assertNaN(t *testing.T, vs ...float64) {
	t.Helper()
	for i, v := range vs {
		assert.True(t, math.IsNaN(v), "value %d is %v", i, v)
	}
}

func TestGaugeUsesTheMarksOfTheFeed(t *testing.T) {
	g := NewGauge(fullSheet(t))
	r := at(0, Ullage, 1)
	r.Set(FullMark, 0.5)
	r.Set(EmptyMark, 1.5)
	l := g.Add(r)
	assert.InDelta(t, 50, l.Percent, 1e-9)
}

func TestGaugeCoastsAndThenNoLongerKnows(t *testing.T) {
	g := NewGauge(nil)
	assert.Equal(t, Unknown, g.Add(lostAt(0)).How, "nothing came yet")
	for i := 1; i < 100; i++ {
		g.Add(at(float64(i)/10, Ullage, 1.0))
	}
	known := g.Add(at(10, Ullage, 1.0))
	var l Level
	for i := 1; i <= 100; i++ {
		l = g.Add(lostAt(10 + float64(i)/10))
		require.Equal(t, Coasting, l.How)
	}
	assert.InDelta(t, 1.0, l.Ullage, 1e-3)
	assert.Greater(t, l.U, known.U, "it says that it knows less")
	l = g.Add(lostAt(45))
	assert.Equal(t, Unknown, l.How)
	assertNaN(t, l.Ullage, l.U, l.Rate)
	tick := lostAt(46)
	tick.EchoLost, tick.Kind = false, Tick
	assert.Equal(t, Unknown, g.Add(tick).How)
	l = g.Add(at(47, Ullage, 1.3))
	for i := range 3 {
		l = g.Add(at(47.1+float64(i)/10, Ullage, 1.3))
	}
	for i := range 3 {
		l = g.Add(at(48+float64(i)/10, Ullage, 1.3))
	}
	assert.InDelta(t, 1.3, l.Ullage, 0.01, "back at once, elsewhere")
}

func TestGaugeSaysThatThereAreTwoEchoes(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	far := map[string]struct {
		spoil func(d float64) float64
		why   string
	}{
		"second bounce": {func(d float64) float64 { return 2 * d }, byDouble},
		"ladder":        {func(float64) float64 { return 0.41 }, byMoving},
	}
	for name, k := range far {
		t.Run(name, func(t *testing.T) {
			g := NewGauge(nil)
			said := map[string]int{}
			for i := range 2000 {
				d := 1.2 - 0.0002*float64(i)
				v := d
				if rng.Float64() < 0.3 {
					v = k.spoil(d)
				}
				l := g.Add(at(float64(i)/10, Ullage, v+0.002*rng.NormFloat64()))
				if i > 1200 {
					assert.InDelta(t, d, l.Ullage, 0.01)
					assert.InDelta(t, k.spoil(d), l.Second, 0.02)
					assert.InDelta(t, 0.3, l.SecondShare, 0.2)
					said[l.Why]++
				}
			}
			assert.Equal(t, 799, said[k.why], "%v", said)
		})
	}
}

func TestGaugeRate(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 8))
	hit, n := 0, 0
	for range 60 {
		g := NewGauge(nil)
		for i := range 400 {
			l := g.Add(at(float64(i)/10, Ullage, 1.5-0.0008*float64(i)/10+0.003*rng.NormFloat64()))
			if i == 399 {
				n++
				if math.Abs(l.Rate-0.0008) < 2*l.RateU {
					hit++
				}
			}
		}
	}
	assert.GreaterOrEqual(t, hit, n*8/10, "the rate lies within its interval")
}

// The pump runs and the level rose, then the same digits come on and on: it says so.
func TestGaugeSaysThatTheValueIsFrozen(t *testing.T) {
	play := func(pump float64) (l Level) {
		g := NewGauge(fullSheet(t))
		for i := range 1200 {
			d := 1.5 - 0.001*float64(min(i, 600))/10
			r := at(float64(i)/10, Ullage, math.Round(d*1e4)/1e4)
			r.Set(Pump, pump)
			l = g.Add(r)
		}
		return l
	}
	assert.Contains(t, play(1).Why, "same digits")
	assert.Empty(t, play(0).Why, "with the pump off water may stand still")
}

// A feed without any time has a level but no rate.
func TestGaugeWithoutTimes(t *testing.T) {
	g := NewGauge(nil)
	var l Level
	for range 50 {
		r := Reading{}
		r.Set(Ullage, 0.8)
		l = g.Add(r)
	}
	assert.InDelta(t, 0.8, l.Ullage, 1e-9)
	assertNaN(t, l.Rate, l.RateU)
}

func TestGaugeDoesNotAllocate(t *testing.T) {
	s := dirts[4].play(3)
	g := NewGauge(fullSheet(t))
	i := 0
	n := testing.AllocsPerRun(2000, func() {
		g.Add(s.levels[i%len(s.levels)].Reading)
		i++
	})
	assert.Zero(t, n)
}

// A step (the sensor moved, a bucket tipped in) is followed within a few readings, whatever its size,
// the rate of the feed and the scatter.
func TestGaugeFollowsAStep(t *testing.T) {
	for _, k := range []struct{ hz, noise, step float64 }{
		{10, 0.002, 0.03}, {10, 0.002, 0.06}, {10, 0.002, 1}, {10, 0.01, 0.05}, {1, 0.002, 0.03}, {1, 0.002, 1}, {0.2, 0.002, 0.5},
	} {
		for seed := range uint64(20) {
			rng := rand.New(rand.NewPCG(seed, 3))
			g := NewGauge(nil)
			followed := 0
			for i := range 120 {
				d := 1.2
				if i >= 60 {
					d += k.step
				}
				l := g.Add(at(float64(i)/k.hz, Ullage, d+k.noise*rng.NormFloat64()))
				if i >= 60 && followed == 0 && math.Abs(l.Ullage-d) < max(k.step/3, 2*k.noise) {
					followed = i - 59
				}
			}
			assert.LessOrEqual(t, followed, 8, "%+v", k)
			assert.Positive(t, followed, "%+v", k)
		}
	}
}

// Zeros that the dialect does not know as lost echoes are no water at the sensor's face.
func TestGaugeDoesNotBelieveZeros(t *testing.T) {
	g := NewGauge(nil)
	var l Level
	for i := range 300 {
		v := 0.0
		if i < 100 {
			v = 1.2
		}
		l = g.Add(at(float64(i)/10, Ullage, v))
	}
	assert.Equal(t, Coasting, l.How)
	assert.InDelta(t, 1.2, l.Ullage, 0.001)
	assert.Zero(t, l.RawUllage, "the checks see what came")
}

// A feed that speaks of less now and then does not begin anew each time.
func TestGaugeKeepsItsBasis(t *testing.T) {
	g := NewGauge(nil)
	var l Level
	for i := range 100 {
		role, v := Ullage, 1.0
		if i%4 == 3 {
			role, v = LevelHeight, 0.75
		}
		l = g.Add(at(float64(i)/10, role, v))
	}
	assert.InDelta(t, 1.0, l.Ullage, 1e-6)
}

// What the feed sends is hostile: nothing panics, and the gauge finds its way back.
func FuzzGauge(f *testing.F) {
	f.Add(uint64(1), 1.0, 0.5, 3.0)
	f.Add(uint64(2), math.Inf(1), math.NaN(), -1e300)
	f.Add(uint64(3), 1e-300, 1e300, 0.0)
	f.Fuzz(func(t *testing.T, seed uint64, a, b, c float64) {
		rng := rand.New(rand.NewPCG(seed, 1))
		g := NewGauge(fullSheet(t))
		clock := 0.0
		for range 200 {
			clock += rng.NormFloat64()
			r := at(clock, Role(rng.IntN(RoleCount)), []float64{a, b, c}[rng.IntN(3)])
			r.Kind = Kind(rng.IntN(8))
			r.EchoLost = rng.IntN(5) == 0
			g.Add(r)
		}
		var l Level
		for i := range 300 {
			l = g.Add(at(1000+float64(i)/10, Ullage, 1.1))
		}
		if math.Abs(l.Ullage-1.1) > 0.01 {
			t.Fatalf("after 30 s of clean readings of 1.1 m it says %v", l.Ullage)
		}
	})
}
