package diagnostics

import (
	"fmt"
	"math"
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/quantity"
)

const shareDim = quantity.Ratio

// cycleTrial follows a whole control cycle: a board below low set (relay in), at full (relay out), the
// sensor unplugged (as the sheet says). Answers: right, never pulls in, never drops out, wrong way
// round, wrong on a lost echo.
type cycleTrial struct {
	trialSetup
	tape
	low, full dwell
	lost      unplugs
}

// dwell is how the flag stood while the board was in one zone: long enough means that confirm and
// least time off have run out.
type dwell struct {
	since   time.Time
	on, off bool // seen so after a dwell long enough
}

func newCycleTrial(s trialSetup) Trial { return &cycleTrial{trialSetup: s} }

// cycleWait is how long a board must be held before the flag counts, beside confirm and least time off.
const cycleWait = 8 * time.Second

func (c *cycleTrial) Add(l *livelevel.Level) {
	c.tape.add(l, c.from)
	if l.Reading.Kind != livelevel.Report || len(c.samples) == 0 {
		return
	}
	s := c.samples[len(c.samples)-1]
	low, full, ok := c.zones()
	c.lost.add(s)
	if !ok || s.pump < 0 || s.lost || math.IsNaN(s.ullage) {
		c.low.since, c.full.since = time.Time{}, time.Time{}
		return
	}
	c.low.add(s, s.ullage > low, cycleWait+seconds(c.sheet.Controller.MinOff.Or(60)))
	c.full.add(s, s.ullage < full, cycleWait+seconds(c.sheet.Controller.MinOn.Or(0)))
}

func seconds(v float64) time.Duration { return time.Duration(v * float64(time.Second)) }

// add takes a sample; once the flag has acted as it should there is no need to wait on.
func (d *dwell) add(s sample, inside bool, wait time.Duration) {
	if !inside {
		d.since = time.Time{}
		return
	}
	if d.since.IsZero() {
		d.since = s.at
	}
	if s.at.Sub(d.since) >= wait || s.at.Sub(d.since) >= 2*time.Second && s.pump == 1 && !d.off {
		d.on = d.on || s.pump == 1
	}
	if s.at.Sub(d.since) >= wait {
		d.off = d.off || s.pump == 0
	}
}

// zones are the ullages beyond which the pump must start and under which it must stop.
func (c *cycleTrial) zones() (low, full float64, ok bool) {
	m := c.sheet.Marks
	if !m.Full.Known() || !m.Empty.Known() {
		return 0, 0, false
	}
	at := func(v float64, dim quantity.Dim, known bool, share float64) float64 {
		if known && dim == quantity.Length {
			return v
		}
		if known {
			share = v
		}
		return m.Empty.V - share*(m.Empty.V-m.Full.V)
	}
	if !m.LowSet.Known() {
		return 0, 0, false
	}
	return at(m.LowSet.V, m.LowSet.Dim, true, 0), at(m.FullSet.V, m.FullSet.Dim, m.FullSet.Known(), 1), true
}

func (c *cycleTrial) State(now time.Time) TrialState {
	length := c.length(10 * time.Minute)
	st := TrialState{Figure: c.figureNow(), Why: c.figureNow()}
	if _, _, ok := c.zones(); !ok {
		st.Why = "the site sheet does not say low set and the marks: watch the relay by hand"
		return c.stand(now, length, st, false)
	}
	lowSaid, fullSaid := c.low.on || c.low.off, c.full.on || c.full.off
	early := false
	switch {
	case len(c.samples) > 0 && pumpAt(c.samples) < 0:
		st.Why = "the feed does not say whether the pump is called"
	case c.low.off && !c.low.on && c.full.on && !c.full.off:
		st.Answer, early = c.answers[3], true
	case c.low.off && !c.low.on:
		st.Answer = c.answers[1]
	case c.full.on && !c.full.off && c.full.waited(now):
		st.Answer = c.answers[2]
	case lowSaid && fullSaid && c.low.on && c.full.off:
		st.Answer, st.Why, early = c.lostEcho()
	}
	return c.stand(now, length, st, early)
}

func (d *dwell) waited(now time.Time) bool { return !d.since.IsZero() && now.Sub(d.since) >= cycleWait }

func (c *cycleTrial) figureNow() string {
	word := func(d dwell) string {
		switch {
		case d.on && d.off:
			return "in and out"
		case d.on:
			return "in"
		case d.off:
			return "out"
		}
		return "not seen yet"
	}
	return fmt.Sprintf("below low set: relay %s; at full: relay %s", word(c.low), word(c.full))
}

// lostEcho judges the last part of the cycle by what the sheet says of a lost echo.
func (c *cycleTrial) lostEcho() (answer, why string, done bool) {
	want := c.sheet.Controller.OnLostEcho
	k, why := c.lost.judge()
	if want == "" || want == "unknown" {
		return c.answers[0], "pulls in and drops out as set; what it should do on a lost echo is not in the site sheet", false
	}
	if k < 0 {
		return "", "pulls in and drops out as set; now unplug the sensor: " + why, false
	}
	if got := [...]string{"holds", "starts", "stops"}[k]; got != want {
		return c.answers[4], fmt.Sprintf("on a lost echo it %s; the site sheet says it %s", got, want), true
	}
	return c.answers[0], "pulls in, drops out and acts on a lost echo as the site sheet says", true
}

// unplugTrial watches what the controller does with the sensor unplugged. Answers: holds, calls the
// pump, stops the pump.
type unplugTrial struct {
	trialSetup
	lost unplugs
}

func newUnplugTrial(s trialSetup) Trial { return &unplugTrial{trialSetup: s} }

func (u *unplugTrial) Add(l *livelevel.Level) {
	if l.Reading.Kind == livelevel.Report && !l.Reading.Time.Before(u.from) {
		u.lost.add(sampleOf(l))
	}
}

func (u *unplugTrial) State(now time.Time) TrialState {
	length := u.length(5 * time.Minute)
	k, why := u.lost.judge()
	st := TrialState{Figure: why, Why: why}
	if k >= 0 {
		st.Answer = u.answers[k]
	}
	return u.stand(now, length, st, k >= 0)
}

// unplugs follows the stretches in which no echo comes: one that began with the relay out tells
// whether the pump is called, one that began with it in whether it is stopped. Both are needed to say
// that the controller holds.
type unplugs struct {
	since    time.Time
	from     int8 // the flag as the stretch began
	was      int8
	heldIn   bool
	heldOut  bool
	calls    bool
	stops    bool
	flagless bool
}

// unplugWait is how long the echo must be gone before a flag that did not change counts as held.
const unplugWait = 100 * time.Second

func (u *unplugs) add(s sample) {
	if s.pump < 0 {
		u.flagless = true
		return
	}
	if !s.lost && !math.IsNaN(s.ullage) {
		u.since, u.was = time.Time{}, s.pump
		return
	}
	if u.since.IsZero() {
		u.since, u.from = s.at, u.was
		return
	}
	long := s.at.Sub(u.since) >= unplugWait
	switch {
	case u.from == 0 && s.pump == 1:
		u.calls = true
	case u.from == 1 && s.pump == 0:
		u.stops = true
	case long && s.pump == 1:
		u.heldIn = true
	case long:
		u.heldOut = true
	}
}

// judge is 0 holds, 1 calls, 2 stops, -1 cannot tell yet.
func (u *unplugs) judge() (k int, why string) {
	switch {
	case u.calls:
		return 1, "the echo was lost and the pump was called"
	case u.stops:
		return 2, "the echo was lost and the pump was stopped"
	case u.heldIn && u.heldOut:
		return 0, "the relay stayed as it was, in and out"
	case u.heldIn:
		return -1, "the relay stayed in; do it again with the relay out"
	case u.heldOut:
		return -1, "the relay stayed out; do it again with the relay in"
	case u.flagless:
		return -1, "the feed does not say whether the pump is called: watch the relay"
	case u.since.IsZero():
		return -1, "the echo is still there"
	}
	return -1, "no echo; waiting"
}
