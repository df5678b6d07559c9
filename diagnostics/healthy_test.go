package diagnostics_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
)

// surface makes the motion of the water about its level: several models that have nothing in common,
// so that no check is tuned to one of them.
type surface func(t, dt float64, rnd *rand.Rand) float64

func white(sigma float64) surface {
	return func(_, _ float64, rnd *rand.Rand) float64 { return sigma * rnd.NormFloat64() }
}

// lagged is a first-order autoregression with a time constant.
func lagged(sigma, tau float64) surface {
	x := 0.0
	return func(_, dt float64, rnd *rand.Rand) float64 {
		a := math.Exp(-dt / tau)
		x = a*x + math.Sqrt(1-a*a)*sigma*rnd.NormFloat64()
		return x
	}
}

// swell is two sines and a little noise.
func swell(amplitude, period float64) surface {
	return func(t, _ float64, rnd *rand.Rand) float64 {
		return amplitude*math.Sin(2*math.Pi*t/period) + amplitude/3*math.Sin(2*math.Pi*t/(period*0.37)) + 0.001*rnd.NormFloat64()
	}
}

// heavy has Laplace tails.
func heavy(scale float64) surface {
	return func(_, _ float64, rnd *rand.Rand) float64 {
		return scale * rnd.ExpFloat64() * float64(1-2*rnd.IntN(2))
	}
}

// bursty is calm, and stirred for 5 s in each minute.
func bursty(sigma float64) surface {
	return func(t, _ float64, rnd *rand.Rand) float64 {
		s := 0.001
		if math.Mod(t, 60) < 5 {
			s = sigma
		}
		return s * rnd.NormFloat64()
	}
}

// plant is an installation under way: a tank that is drawn from and filled by a controller.
type plant struct {
	every, step, lose, spikes float64
	motion                    surface
	hand                      bool    // someone holds a hand under the sensor for 4 s each ten minutes
	draw                      float64 // m/s
	fill                      float64 // m/s, of the pump alone
	full, start               float64 // distances
	role                      livelevel.Role
}

const face, area = 1.75, 0.95

func (p *plant) play(m *diagnostics.Monitor, last time.Duration, seed uint64) time.Time {
	rnd := rand.New(rand.NewPCG(seed, 5))
	at := time.Date(2026, 5, 4, 7, 0, 0, 0, time.UTC)
	u, on := p.start-0.1, false
	for t := 0.0; t < last.Seconds(); t += p.every {
		u += p.draw * p.every
		if on {
			u -= p.fill * p.every
		}
		seen := u + p.motion(t, p.every, rnd)
		if on = on && seen > p.full || !on && seen > p.start; rnd.Float64() < p.spikes {
			seen -= 0.1 + 0.3*rnd.Float64()
		}
		if p.hand && math.Mod(t, 600) > 596 {
			seen = 0.3
		}
		if p.step > 0 {
			seen = math.Round(seen/p.step) * p.step
		}
		l := p.level(seen, on, rnd)
		l.Reading.Time = at.Add(time.Duration(t * float64(time.Second)))
		m.Add(&l)
	}
	return at.Add(last)
}

func (p *plant) level(seen float64, on bool, rnd *rand.Rand) livelevel.Level {
	r := livelevel.Reading{}
	r.Set(livelevel.Pump, 0)
	if on {
		r.Set(livelevel.Pump, 1)
	}
	l := livelevel.Level{RawUllage: math.NaN()}
	switch {
	case rnd.Float64() < p.lose:
		r.EchoLost = true
	case p.role == livelevel.LevelHeight:
		r.Set(livelevel.LevelHeight, face-seen)
	default:
		r.Set(livelevel.Ullage, seen)
		l.RawUllage = seen
	}
	l.Reading = r
	return l
}

type box struct{ area, height float64 }

func (b box) Height() float64          { return b.height }
func (b box) Volume(h float64) float64 { return b.area * max(0, min(h, b.height)) }
func (b box) Area(float64) float64     { return b.area }
func (b box) Level(v float64) float64  { return v / b.area }

func given(v float64, d quantity.Dim) site.Fact {
	return site.Fact{Quantity: quantity.Quantity{V: v, Dim: d}, Origin: site.Given}
}

// sheetOf is the site sheet that goes with a plant.
func sheetOf(p *plant) *site.Sheet {
	s := &site.Sheet{}
	s.Tank.Shape = box{area, 1.7}
	s.Sensor.FaceHeight = given(face, quantity.Length)
	s.Sensor.Blanking = given(0.25, quantity.Length)
	s.Marks.Full = given(p.full, quantity.Length)
	s.Marks.Empty = given(1.70, quantity.Length)
	s.Marks.LowSet.Fact = given(p.start, quantity.Length)
	s.Pump.HealthyFlow = given(p.fill*area, quantity.Flow)
	return s
}

func healthyPlants() map[string]plant {
	base := plant{every: 0.1, step: 0.001, motion: white(0.002), draw: 0.0001, fill: 0.00067, full: 0.42, start: 1.10}
	with := func(change func(p *plant)) plant { p := base; change(&p); return p }
	return map[string]plant{
		"plain":            base,
		"no draw":          with(func(p *plant) { p.draw = 1e-6 }),
		"waves":            with(func(p *plant) { p.motion = swell(0.012, 2.7) }),
		"slow waves":       with(func(p *plant) { p.motion = swell(0.010, 9) }),
		"lagged noise":     with(func(p *plant) { p.motion = lagged(0.008, 1.5) }),
		"wandering noise":  with(func(p *plant) { p.motion = lagged(0.006, 20) }),
		"heavy tails":      with(func(p *plant) { p.motion = heavy(0.002) }),
		"bursts":           with(func(p *plant) { p.motion = bursty(0.02) }),
		"rain":             with(func(p *plant) { p.spikes, p.lose, p.motion = 0.008, 0.01, white(0.004) }),
		"lost echoes":      with(func(p *plant) { p.lose = 0.01 }),
		"large draw":       with(func(p *plant) { p.draw = 0.0004 }),
		"cheap display":    with(func(p *plant) { p.step = 0.01 }),
		"cheap and calm":   with(func(p *plant) { p.step, p.motion, p.draw = 0.01, white(0.0005), 1e-6 }),
		"near blanking":    with(func(p *plant) { p.full = 0.29 }),
		"hand":             with(func(p *plant) { p.hand = true }),
		"each 5 s":         with(func(p *plant) { p.every = 5 }),
		"each 10 s, waves": with(func(p *plant) { p.every, p.motion = 10, swell(0.01, 3) }),
		"each 1 s, 1 cm":   with(func(p *plant) { p.every, p.step = 1, 0.01 }),
		"50 Hz":            with(func(p *plant) { p.every = 0.02 }),
		"unrounded":        with(func(p *plant) { p.step = 0 }),
		"level only":       with(func(p *plant) { p.role = livelevel.LevelHeight }),
	}
}

// TestHealthy plays an hour of installations that are well: no check may fail, whatever the
// model of the surface, the pace of the feed or the display; and the main ones must be able to tell.
func TestHealthy(t *testing.T) {
	for name, p := range healthyPlants() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for _, window := range []time.Duration{0, time.Minute} {
				m := diagnostics.NewMonitor(sheetOf(&p), window)
				last := 70 * time.Minute
				if p.every < 0.1 {
					last = 20 * time.Minute
				}
				end := p.play(m, last, 7)
				for _, f := range m.Findings(end) {
					require.NotEqual(t, diagnostics.Fail, f.Verdict, "window %s: %s: %v %s", window, f.Check, f.Grades, f.Why)
					switch f.Check {
					case "feed-health", "reading-spread", "reading-shape", "relay-switching", "restarts", "threshold-margin", "obeys-settings":
						require.Equal(t, diagnostics.Pass, f.Verdict, "window %s: %s: %s %s", window, f.Check, f.Why, f.Missing)
					}
				}
			}
		})
	}
}
