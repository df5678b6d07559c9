package script

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// Run plays the script and reports every expectation that did not hold, with its place.
func (s *Script) Run() error {
	p := newPlayer()
	err := p.all(s.lines)
	return errors.Join(append(p.missed, err)...)
}

// Findings plays the script and returns what the checks say at its end.
func (s *Script) Findings() ([]diagnostics.Finding, error) {
	p := newPlayer()
	err := p.all(s.lines)
	return p.checks().Findings(p.now), err
}

// Readings plays the script and hands every level to f, so that a script can feed something else.
func (s *Script) Readings(f func(*livelevel.Level)) error {
	p := newPlayer()
	p.also = f
	return p.all(s.lines)
}

type population struct{ share, times, plus float64 }

// player is the state of a feed being made.
type player struct {
	window           time.Duration
	sheet            site.Sheet
	rnd              *rand.Rand
	now              time.Time
	every            time.Duration
	have             bool
	u, ramp          float64
	noise            float64
	wave, wavePeriod float64
	step, lose       float64
	hide, stuck      bool
	spikes, spikeFar float64
	second           population
	roles            map[livelevel.Role]float64
	last             float64 // as shown
	shown            bool
	sent             int
	monitor          *diagnostics.Monitor
	missed           []error
	also             func(*livelevel.Level)
}

func newPlayer() *player {
	p := &player{now: start, every: 100 * time.Millisecond, roles: map[livelevel.Role]float64{}}
	p.sheet.Limits = map[string]site.Fact{}
	p.seed(1)
	return p
}

func (p *player) seed(n uint64) { p.rnd = rand.New(rand.NewPCG(n, 1)) }

func (p *player) all(lines []statement) error {
	for _, st := range lines {
		if st.run != nil {
			if err := st.run(p); err != nil {
				return err
			}
			continue
		}
		for range st.times {
			if err := p.all(st.body); err != nil {
				return err
			}
		}
	}
	return nil
}

// checks starts the monitor with the first thing that needs it: the facts stand by then.
func (p *player) checks() *diagnostics.Monitor {
	if p.monitor == nil {
		p.monitor = diagnostics.NewMonitor(&p.sheet, p.window)
	}
	return p.monitor
}

func (p *player) send(r livelevel.Reading) {
	p.sent++
	r.Time = p.now
	l := livelevel.Level{Reading: r, RawUllage: math.NaN(), Ullage: math.NaN(), Height: math.NaN()}
	if u, ok := r.Get(livelevel.Ullage); ok {
		l.How, l.RawUllage, l.Ullage = livelevel.Measured, u, u
		if f := p.sheet.Sensor.FaceHeight; f.Known() {
			l.Height = f.V - u
		}
	}
	p.checks().Add(&l)
	if p.also != nil {
		p.also(&l)
	}
}

// play lets readings come for a while.
func (p *player) play(d time.Duration) error {
	if float64(p.sent)+d.Seconds()/p.every.Seconds() > mostReadings {
		return fmt.Errorf("playing %s: more than %d readings: play less", d, mostReadings)
	}
	for end := p.now.Add(d); p.now.Before(end); p.now = p.now.Add(p.every) {
		p.u += p.ramp * p.every.Seconds()
		p.send(p.reading())
	}
	return nil
}

func (p *player) reading() livelevel.Reading {
	var r livelevel.Reading
	for role := range livelevel.RoleCount { // in order: a map would not be the same twice
		if v, ok := p.roles[livelevel.Role(role)]; ok {
			r.Set(livelevel.Role(role), v)
		}
	}
	if !p.have {
		return r
	}
	lost := p.rnd.Float64() < p.lose
	if lost && !p.hide {
		r.EchoLost = true
		return r
	}
	if !(p.shown && (p.stuck || lost)) {
		p.last, p.shown = p.distance(), true
	}
	r.Set(livelevel.Ullage, p.last)
	return r
}

// distance is what the sensor makes of the water now.
func (p *player) distance() float64 {
	u := p.u
	if p.second.share > 0 && p.rnd.Float64() < p.second.share {
		u = p.second.times*u + p.second.plus
	}
	if p.spikes > 0 && p.rnd.Float64() < p.spikes {
		u += p.spikeFar
	}
	if p.wavePeriod > 0 {
		u += p.wave * math.Sin(2*math.Pi*p.now.Sub(start).Seconds()/p.wavePeriod)
	}
	u += p.noise * p.rnd.NormFloat64()
	if p.step > 0 {
		u = math.Round(u/p.step) * p.step
	}
	return u
}

// quiet lets a live clock tick while nothing comes.
func (p *player) quiet(d time.Duration) error {
	if d.Seconds() > mostReadings {
		return fmt.Errorf("playing %s of silence: play less", d)
	}
	for end := p.now.Add(d); p.now.Before(end); p.now = p.now.Add(time.Second) {
		p.send(livelevel.Reading{Kind: livelevel.Tick})
	}
	return nil
}

func (p *player) reject(n int) {
	for range min(n, mostReadings) {
		p.send(livelevel.Reading{Kind: livelevel.Rejected, Text: "did not decode"})
		p.now = p.now.Add(p.every)
	}
}
