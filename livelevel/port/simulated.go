package port

import (
	"context"
	"errors"
	"math"
	"sync"
	"time"

	"example.org/tankhand/livelevel"
)

// simulated opens a practice rig.
type simulated struct {
	name string
	sim  Simulation
	rate float64
	step time.Duration
	mu   sync.Mutex
	at   time.Time
}

// Simulated is the opener of a simulation that is moved on in steps, rate times as fast as the clock
// (AtOnce: without waiting; 0 means 1). Its time starts at the first opening, or where its method
// Begins() time.Time says. A method Hurry lets some of its time pass at once, whatever the rate.
func Simulated(name string, sim Simulation, rate float64, step time.Duration) Opener {
	if rate <= 0 || math.IsNaN(rate) {
		rate = 1
	}
	if step <= 0 {
		step = 50 * time.Millisecond
	}
	return &simulated{name: name, sim: sim, rate: rate, step: step}
}

// Info implements Opener.
func (p *simulated) Info() Info {
	return Info{Source: p.name, Live: true, Reopens: true, Times: livelevel.ByArrival, MayRestart: true}
}

// Open implements Opener.
func (p *simulated) Open(ctx context.Context) (Stream, error) {
	if ctx.Err() != nil {
		return nil, ErrClosed
	}
	if err := p.sim.Connect(); err != nil {
		return nil, p.refusal(err)
	}
	return &simStream{p: p, closing: make(chan struct{}), wall: time.Now(), from: p.Now()}, nil
}

func (p *simulated) refusal(err error) error {
	kind := ErrNoPort
	var r interface{ PortRefusal() string }
	if errors.As(err, &r) {
		switch r.PortRefusal() {
		case "busy":
			kind = ErrBusy
		case "no-right":
			kind = ErrNoRight
		}
	}
	return &Refusal{Doing: "opening", Source: p.name, Kind: kind, Cause: err}
}

// Now implements Clock: the simulation's own time.
func (p *simulated) Now() time.Time {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.at.IsZero() {
		p.at = time.Now().Round(0)
		if b, ok := p.sim.(interface{ Begins() time.Time }); ok && !b.Begins().IsZero() {
			p.at = b.Begins()
		}
	}
	return p.at
}

func (p *simulated) advance(d time.Duration) (time.Time, []byte) {
	data := p.sim.Advance(d)
	at := p.Now().Add(d)
	p.mu.Lock()
	p.at = at
	p.mu.Unlock()
	return at, data
}

// hurried is a simulation of which some time may pass at once: Hurry takes that much of it, and says
// whether there was any.
type hurried interface{ Hurry(d time.Duration) bool }

// simStream moves the simulation on as the world's clock does, scaled.
type simStream struct {
	p       *simulated
	closing chan struct{}
	once    sync.Once
	wall    time.Time
	from    time.Time
	skipped time.Duration // passed at once since then
}

// Next implements Stream.
func (s *simStream) Next() (Chunk, error) {
	quiet := time.Duration(0)
	for {
		if !s.wait() {
			return Chunk{At: s.p.Now()}, ErrClosed
		}
		at, data := s.p.advance(s.p.step)
		quiet += s.p.step
		if len(data) > 0 {
			return Chunk{At: at, Data: data}, nil
		}
		if quiet >= silence {
			return Chunk{At: at}, nil
		}
	}
}

// hurryPoll is how soon a simulation notices that some of its time is to pass at once.
const hurryPoll = 10 * time.Millisecond

// wait until the next step is due; false when closed.
func (s *simStream) wait() bool {
	h, hurries := s.p.sim.(hurried)
	for {
		select {
		case <-s.closing:
			return false
		default:
		}
		if math.IsInf(s.p.rate, 1) {
			return true
		}
		if hurries && h.Hurry(s.p.step) {
			s.skipped += s.p.step
			return true
		}
		done := s.p.Now().Add(s.p.step).Sub(s.from) - s.skipped
		due := time.Until(s.wall.Add(time.Duration(float64(done) / s.p.rate)))
		if due <= 0 {
			return true
		}
		if hurries {
			due = min(due, hurryPoll)
		}
		if !sleep(due, s.closing) {
			return false
		}
	}
}

// sleep for a while; false when the stream is closed meanwhile.
func sleep(d time.Duration, closing <-chan struct{}) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return true
	case <-closing:
		return false
	}
}

// Close implements Stream.
func (s *simStream) Close() error {
	s.once.Do(func() { close(s.closing) })
	return nil
}
