package diagnostics

import (
	"fmt"
	"time"

	"example.org/tankhand/livelevel"
)

// compareTrial sees whether a trouble that was there before has gone. Answers: stays, gone. The
// parameters say which troubles it looks at: losses, jumps, spread, restarts, switching; without any,
// all that were there.
type compareTrial struct {
	trialSetup
	tape
}

func newCompareTrial(s trialSetup) Trial { return &compareTrial{trialSetup: s} }

func (c *compareTrial) Add(l *livelevel.Level) { c.tape.add(l, c.from) }

// trouble is one measure before and now; due is how much would be expected in the time so far.
type trouble struct {
	name        string
	before, now float64
	enough      bool // the time so far would have shown it
	unit        string
	scale       float64
}

// The ratios that count as gone and as still there; between them it cannot tell.
const (
	goneRatio = 0.25
	staysFrom = 0.60
	dueEvents = 3.0 // so many events must have been due before their absence says something
)

func (c *compareTrial) State(now time.Time) TrialState {
	length := c.length(time.Minute)
	st := TrialState{Figure: fmt.Sprintf("%d readings", len(c.samples)), Why: "there was no trouble to compare with"}
	gone, stays, doubt := 0, 0, 0
	for _, t := range c.troubles(now) {
		ratio := t.now / t.before
		st.Figure = fmt.Sprintf("%s %.3g %s, before %.3g %s", t.name, t.now*t.scale, t.unit, t.before*t.scale, t.unit)
		st.Why = st.Figure
		switch {
		case ratio >= staysFrom:
			stays++
		case !t.enough || ratio > goneRatio:
			doubt++
		default:
			gone++
		}
		if stays == 1 && ratio >= staysFrom {
			break
		}
	}
	full := !now.Before(c.from.Add(length))
	switch {
	case stays > 0 && full:
		st.Answer = c.answers[0]
	case gone > 0 && stays == 0 && doubt == 0 && full:
		st.Answer = c.answers[1]
	case full && gone+stays+doubt > 0:
		st.Why += "; too few events to tell"
	}
	return c.stand(now, length, st, false)
}

// wants tells whether a measure was asked for.
func (c *compareTrial) wants(name string) bool {
	named := false
	for _, a := range c.args {
		if a == name {
			return true
		}
		if a[0] < '0' || a[0] > '9' {
			named = true
		}
	}
	return !named
}

// troubles are the measures that were bad before.
func (c *compareTrial) troubles(now time.Time) (out []trouble) {
	hours := now.Sub(c.from).Hours()
	n := float64(len(c.samples))
	x := ullages(c.samples)
	if b, ok := c.figure("echo-dropouts", "dropout_fraction"); ok && b > .02 && c.wants("losses") && n > 0 {
		out = append(out, trouble{"lost pings", b, lostShare(c.samples), b*n >= dueEvents, "%", 100})
	}
	if b, ok := c.figure("reading-shape", "spike_fraction"); ok && b > .02 && c.wants("jumps") && len(x) > 0 {
		out = append(out, trouble{"jumps", b, jumpShare(x), b*n >= dueEvents, "%", 100})
	}
	if b, ok := c.figure("reading-spread", "spread_m"); ok && c.bad("reading-spread", "amount", "small") && c.wants("spread") && len(x) > 20 {
		out = append(out, trouble{"spread", b, scatter(x), true, "cm", 100})
	}
	if b, ok := c.rate("restarts", "restarts"); ok && b > 0 && c.wants("restarts") {
		out = append(out, trouble{"restarts", b, float64(len(c.restarts)) / hours, b*hours >= dueEvents, "an hour", 1})
	}
	if b, ok := c.rate("relay-switching", "switches"); ok && c.bad("relay-switching", "amount", "rare") && c.wants("switching") && n > 0 {
		out = append(out, trouble{"relay switchings", b, float64(switches(c.samples)) / hours, b*hours >= dueEvents, "an hour", 1})
	}
	return out
}

// bad tells whether a grade was there and not the healthy word.
func (c *compareTrial) bad(check, aspect, healthy string) bool {
	g := c.grade(check, aspect)
	return g != "" && g != healthy
}

// rate is a count of before by the hour of its evidence.
func (s trialSetup) rate(check, name string) (float64, bool) {
	v, ok := s.figure(check, name)
	for i := range s.before {
		if e := s.before[i].Evidence; ok && s.before[i].Check == check && e.To.After(e.From) {
			return v / e.To.Sub(e.From).Hours(), true
		}
	}
	return 0, false
}

// movesTrial sees whether flexing a cable makes the reading drop or jump. Answers: nothing moves it,
// reading drops or jumps.
type movesTrial struct {
	trialSetup
	tape
}

func newMovesTrial(s trialSetup) Trial { return &movesTrial{trialSetup: s} }

func (m *movesTrial) Add(l *livelevel.Level) { m.tape.add(l, m.from) }

// movedBy is by how much losses or jumps must rise above those of before.
const movedBy = 0.08

func (m *movesTrial) State(now time.Time) TrialState {
	length := m.length(time.Minute)
	x := ullages(m.samples)
	lost, jumps := max(0, lostShare(m.samples)), jumpShare(x)
	lostBefore, _ := m.figure("echo-dropouts", "dropout_fraction")
	jumpsBefore, _ := m.figure("reading-shape", "spike_fraction")
	st := TrialState{Figure: fmt.Sprintf("%.0f %% lost, %.0f %% jumps", 100*lost, 100*jumps)}
	st.Why = fmt.Sprintf("%s; before %.0f %% lost, %.0f %% jumps", st.Figure, 100*lostBefore, 100*jumpsBefore)
	moved := lost > lostBefore+movedBy || jumps > jumpsBefore+movedBy
	full := !now.Before(m.from.Add(length))
	switch {
	case moved && len(m.samples) >= 20:
		st.Answer = m.answers[1]
	case !full || len(m.samples) < 20:
	case lostBefore > .3 || jumpsBefore > .3:
		st.Why += "; too bad before to see a change"
	default:
		st.Answer = m.answers[0]
	}
	return m.stand(now, length, st, false)
}

// rockTrial sees whether one way of leaning the sensor is clearly better. Answers: no change, one way
// is clearly better.
type rockTrial struct {
	trialSetup
	tape
}

func newRockTrial(s trialSetup) Trial { return &rockTrial{trialSetup: s} }

func (r *rockTrial) Add(l *livelevel.Level) { r.tape.add(l, r.from) }

// rockBin is how long a lean is held at least; rockApart is how far the best and the worst stretch must
// stand apart in their losses.
const (
	rockBin   = 5 * time.Second
	rockApart = 0.35
)

func (r *rockTrial) State(now time.Time) TrialState {
	length := r.length(time.Minute)
	best, worst, bins := 1.0, 0.0, 0
	for from := r.from; from.Add(rockBin).Before(now); from = from.Add(rockBin) {
		bin := r.between(from, from.Add(rockBin))
		if len(bin) < 4 {
			continue
		}
		lost := lostShare(bin)
		best, worst, bins = min(best, lost), max(worst, lost), bins+1
	}
	st := TrialState{Figure: fmt.Sprintf("best %.0f %% lost, worst %.0f %%", 100*min(best, worst), 100*worst)}
	st.Why = fmt.Sprintf("%s over %d stretches of %s", st.Figure, bins, rockBin)
	full := !now.Before(r.from.Add(length))
	if bins >= 4 && full {
		st.Answer = r.answers[0]
		if worst-best >= rockApart {
			st.Answer = r.answers[1]
		}
	}
	return r.stand(now, length, st, false)
}

// between are the samples of a stretch.
func (t *tape) between(from, to time.Time) []sample {
	out := t.since(from)
	for i := range out {
		if !out[i].at.Before(to) {
			return out[:i]
		}
	}
	return out
}
