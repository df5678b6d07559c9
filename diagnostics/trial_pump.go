package diagnostics

import (
	"fmt"
	"math"
	"time"

	"example.org/tankhand/livelevel"
)

// Figures of the pump trials; common practice, no source.
const (
	startCall   = 20 * time.Second // a pressed button calls the pump within this
	forcedRun   = 60 * time.Second // a run without rise is stopped then, whatever else
	riseLeast   = 0.010            // m that count as a rise where the due rise is not known
	riseDue     = 0.015            // m that must be due before their absence says something
	riseShare   = 0.30             // of the due rise that counts as a rise
	currentNone = 0.05             // of the running current: the motor does not turn
	currentHum  = 1.5              // of the running current: it hums
)

// pumpRun follows one run of the pump.
type pumpRun struct {
	trialSetup
	tape
	called time.Time // when the flag went on
	off    time.Time // when it went off again
}

func (p *pumpRun) Add(l *livelevel.Level) {
	p.tape.add(l, p.from)
	if len(p.samples) == 0 || l.Reading.Kind != livelevel.Report {
		return
	}
	switch s := p.samples[len(p.samples)-1]; {
	case s.pump == 1 && p.called.IsZero():
		p.called = s.at
	case s.pump == 0 && !p.called.IsZero() && p.off.IsZero():
		p.off = s.at
	}
}

// rise is how far the level came up since the call; NaN while that cannot be told.
func (p *pumpRun) rise(now time.Time) float64 {
	run := p.since(p.called)
	if len(run) < 3 {
		return math.NaN()
	}
	first := depths(p.between(p.called, p.called.Add(3*time.Second)))
	last := depths(p.recent(now, 5*time.Second, 2))
	return middle(last) - middle(first)
}

// depths are heights, or where there is no site sheet the same motion from the ullages.
func depths(samples []sample) []float64 {
	if h := heights(samples); len(h) > 0 {
		return h
	}
	x := ullages(samples)
	for i := range x {
		x[i] = -x[i]
	}
	return x
}

// due is the rise that a healthy pump brings in a time; NaN where flow or tank is not known.
func (p *pumpRun) due(d time.Duration) float64 {
	area := p.area()
	if !p.sheet.Pump.HealthyFlow.Known() || !(area > 0) {
		return math.NaN()
	}
	return p.sheet.Pump.HealthyFlow.V * d.Seconds() / area
}

// area is the free surface at the present level; NaN without a tank.
func (p *pumpRun) area() float64 {
	h := middle(heights(p.samples[max(0, len(p.samples)-20):]))
	if p.sheet.Tank.Shape == nil || math.IsNaN(h) {
		return math.NaN()
	}
	return p.sheet.Tank.Shape.Area(h)
}

// fate says what became of the run.
type fate uint8

const (
	fateOpen    fate = iota // too early
	fateUncall              // the pump was not called
	fateRises               // called and the level rises
	fateRuns                // called, the motor takes its current, no rise
	fateHums                // called, the current is far too high
	fateSilent              // called, no current
	fateNoRise              // called, no rise; what the motor does is not known
	fateNoTell              // the feed cannot tell
	fateTooFlat             // called, but the due rise is too small to see
)

// judge follows one run: call is how long to wait for the flag.
func (p *pumpRun) judge(now time.Time, call time.Duration) (fate, string) {
	if len(p.samples) > 0 && pumpAt(p.samples) < 0 {
		return fateNoTell, "the feed does not say whether the pump is called"
	}
	if p.called.IsZero() {
		if now.Sub(p.from) < call {
			return fateOpen, "not called yet"
		}
		return fateUncall, fmt.Sprintf("not called within %s", call)
	}
	run := now.Sub(p.called)
	rise, due := p.rise(now), p.due(run)
	why := fmt.Sprintf("called for %s, level %+.1f cm", run.Round(time.Second), 100*rise)
	if math.IsNaN(rise) {
		why = fmt.Sprintf("called for %s, no level to see", run.Round(time.Second))
	}
	least := riseLeast
	if due > 0 {
		least = max(0.004, riseShare*due)
		why += fmt.Sprintf(" (%.1f cm due)", 100*due)
	}
	if rise >= least && run >= 10*time.Second {
		return fateRises, why
	}
	if run < forcedRun && p.off.IsZero() {
		return fateOpen, why
	}
	if run >= forcedRun {
		why += "; stop the pump now"
	}
	return p.noRise(due, why)
}

// noRise says why a run brought nothing, by the motor's current where the feed has it.
func (p *pumpRun) noRise(due float64, why string) (fate, string) {
	i := currents(p.since(p.called))
	full := p.sheet.Pump.RunningCurrent
	if !math.IsNaN(i) && full.Known() {
		why += fmt.Sprintf("; motor takes %.2f of %.2f A", i, full.V)
		switch {
		case i < currentNone*full.V:
			return fateSilent, why
		case i > currentHum*full.V:
			return fateHums, why
		}
		return fateRuns, why
	}
	if !(due >= riseDue) {
		return fateTooFlat, why + "; too little rise is due in this tank to tell"
	}
	return fateNoRise, why
}

func currents(samples []sample) float64 {
	var x []float64
	for _, s := range samples {
		if !math.IsNaN(s.current) {
			x = append(x, s.current)
		}
	}
	return middle(x)
}

// startTrial follows a pressed start button. Answers: relay clicks and pump runs, relay clicks and pump
// hums, relay clicks and pump silent, no click.
type startTrial struct{ pumpRun }

func newStartTrial(s trialSetup) Trial { return &startTrial{pumpRun{trialSetup: s}} }

func (t *startTrial) State(now time.Time) TrialState {
	f, why := t.judge(now, startCall)
	st := TrialState{Figure: why, Why: why}
	switch f {
	case fateRises, fateRuns:
		st.Answer = t.answers[0]
	case fateHums:
		st.Answer = t.answers[1]
	case fateSilent:
		st.Answer = t.answers[2]
	case fateUncall:
		st.Answer = t.answers[3]
	case fateNoRise, fateTooFlat:
		st.Why += "; hums or silent: listen"
	}
	return t.stand(now, startCall+forcedRun, st, f != fateOpen && f != fateNoTell)
}

// autoStartTrial waits for the controller to start the pump by itself. Answers: starts and the level
// rises, starts but no rise, called but no start, not called.
type autoStartTrial struct{ pumpRun }

func newAutoStartTrial(s trialSetup) Trial { return &autoStartTrial{pumpRun{trialSetup: s}} }

func (t *autoStartTrial) State(now time.Time) TrialState {
	wait := t.length(3*time.Minute) + time.Duration(t.sheet.Controller.MinOff.Or(60)*float64(time.Second))
	f, why := t.judge(now, wait)
	st := TrialState{Figure: why, Why: why}
	switch f {
	case fateRises:
		st.Answer = t.answers[0]
	case fateRuns:
		st.Answer = t.answers[1]
	case fateSilent, fateHums:
		st.Answer = t.answers[2]
	case fateUncall:
		st.Answer = t.answers[3]
	case fateNoRise, fateTooFlat:
		st.Why += "; does the motor turn? look from afar"
	}
	return t.stand(now, wait+forcedRun, st, f != fateOpen && f != fateNoTell)
}

// fullStopTrial watches a fill to its end and a while beyond. Answers: stops at full and stays, stops
// too early, runs past full, stops but the level rises on.
type fullStopTrial struct{ pumpRun }

func newFullStopTrial(s trialSetup) Trial { return &fullStopTrial{pumpRun{trialSetup: s}} }

// Figures of the full stop; common practice, no source.
const (
	fullTolerance = 4.0 // percent of the height between the marks, for waves and confirm time
	fullAfter     = 5 * time.Minute
	fullCreep     = 0.015 // m of rise after the stop
)

func (t *fullStopTrial) State(now time.Time) TrialState {
	length := t.length(60 * time.Minute)
	full := 100 * t.fullSet()
	p := t.percentAt(now)
	st := TrialState{Figure: fmt.Sprintf("%.0f %%, stop at %.0f %%", p, full)}
	early := false
	switch {
	case len(t.samples) > 0 && pumpAt(t.samples) < 0:
		st.Why = "the feed does not say whether the pump is called"
	case math.IsNaN(p):
		st.Why = "the marks are not known: no percent to judge by"
	case t.called.IsZero():
		st.Why = "the pump has not been called yet"
	case t.off.IsZero():
		st.Why = st.Figure
		if p > full+fullTolerance {
			st.Answer, early = t.answers[2], true
			st.Why = "still called past full: stop it by hand; " + st.Figure
		}
	default:
		st.Answer, st.Why, early = t.stopped(now, full)
	}
	return t.stand(now, length, st, early)
}

// fullSet is where the pump stops, as a share of the height between the marks.
func (t *fullStopTrial) fullSet() float64 {
	m := t.sheet.Marks.FullSet
	if m.Known() && m.V > 0 && m.V <= 1.5 && m.Dim == shareDim {
		return m.V
	}
	return 1
}

func (t *fullStopTrial) percentAt(now time.Time) float64 {
	var x []float64
	for _, s := range t.upTo(now, 10*time.Second) {
		if !math.IsNaN(s.percent) {
			x = append(x, s.percent)
		}
	}
	return middle(x)
}

// upTo are the samples of the d before a time, at least the last one there was by then.
func (t *tape) upTo(at time.Time, d time.Duration) []sample {
	got := t.between(at.Add(-d), at.Add(time.Nanosecond))
	for i := len(t.samples) - 1; len(got) == 0 && i >= 0; i-- {
		if !t.samples[i].at.After(at) {
			return t.samples[i : i+1]
		}
	}
	return got
}

// stopped judges what came after the flag went off.
func (t *fullStopTrial) stopped(now time.Time, full float64) (answer, why string, done bool) {
	at := t.percentAt(t.off)
	if at < full-fullTolerance {
		return t.answers[1], fmt.Sprintf("stopped at %.0f %%, full is %.0f %%", at, full), true
	}
	if at > full+fullTolerance {
		return t.answers[2], fmt.Sprintf("stopped only at %.0f %%, full is %.0f %%", at, full), true
	}
	rest := now.Sub(t.off)
	first := middle(depths(t.between(t.off, t.off.Add(20*time.Second))))
	creep := middle(depths(t.recent(now, 20*time.Second, 2))) - first
	why = fmt.Sprintf("stopped at %.0f %%, then %+.1f cm in %s", at, 100*creep, rest.Round(time.Second))
	switch {
	case creep > fullCreep:
		return t.answers[3], why, true
	case rest < fullAfter:
		return "", why, false
	}
	return t.answers[0], why, true
}
