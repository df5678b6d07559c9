package diagnostics

import (
	"fmt"
	"time"

	"example.org/tankhand/livelevel"
)

// appearsTrial waits for a feed that reads and stays up. Answers: no better, feed is there.
type appearsTrial struct {
	trialSetup
	tape
}

func newAppearsTrial(s trialSetup) Trial { return &appearsTrial{trialSetup: s} }

func (a *appearsTrial) Add(l *livelevel.Level) { a.tape.add(l, a.from) }

// A feed is there when it has brought so many reports for so long without a restart and mostly clean.
const (
	appearsReports = 5
	appearsFor     = 15 * time.Second
)

func (a *appearsTrial) State(now time.Time) TrialState {
	length := a.length(40 * time.Second)
	st := TrialState{Figure: fmt.Sprintf("%d reports, %d restarts, %d not readable", a.seen, len(a.restarts), a.rejected)}
	st.Why = st.Figure
	up := a.upSince()
	stays := now.Sub(up) >= appearsFor && a.rejected*4 <= a.seen
	good := stays && len(a.since(up)) >= appearsReports
	full := !now.Before(a.from.Add(length))
	switch {
	case good, full && stays && len(a.since(up)) >= 2: // a slow feed has fewer reports to show
		st.Answer = a.answers[1]
	case full:
		st.Answer = a.answers[0]
	}
	return a.stand(now, length, st, good)
}

// upSince is when the present stretch of reports without a restart began.
func (a *appearsTrial) upSince() time.Time {
	from := a.from
	if n := len(a.restarts); n > 0 {
		from = a.restarts[n-1]
	}
	if s := a.since(from); len(s) > 0 {
		return s[0].at
	}
	return from
}

// rebootTrial watches a restart for a pump call. Answers: relay stays quiet, relay clicks. A floating pin
// clicks the relay without a word in the feed, so it never says "quiet" by itself.
type rebootTrial struct {
	trialSetup
	tape
	back time.Time // first report after the restart
	last time.Time
	gap  bool
}

func newRebootTrial(s trialSetup) Trial { return &rebootTrial{trialSetup: s} }

// rebootGap without reports is a restart too; rebootWatch is how long after it a call counts.
const (
	rebootGap   = 2 * time.Second
	rebootWatch = 5 * time.Second
)

func (r *rebootTrial) Add(l *livelevel.Level) {
	r.tape.add(l, r.from)
	if l.Reading.Time.Before(r.from) || l.Reading.Kind != livelevel.Report {
		return
	}
	if r.back.IsZero() && (len(r.restarts) > 0 || !r.last.IsZero() && l.Reading.Time.Sub(r.last) >= rebootGap) {
		r.back = l.Reading.Time
	}
	r.last = l.Reading.Time
}

func (r *rebootTrial) State(now time.Time) TrialState {
	length := r.length(time.Minute)
	st := TrialState{Figure: "no restart seen yet", Why: "no restart seen yet"}
	if !r.back.IsZero() {
		st.Figure = fmt.Sprintf("back for %s", max(0, now.Sub(r.back)).Round(time.Second))
		st.Why = "the feed shows no call; only your ear tells whether the relay clicked"
		for _, s := range r.between(r.back, r.back.Add(rebootWatch)) {
			if s.pump == 1 {
				st.Answer = r.answers[1]
				st.Why = fmt.Sprintf("pump called %.1f s after the restart", s.at.Sub(r.back).Seconds())
			}
		}
	}
	return r.stand(now, length, st, !r.back.IsZero() && now.Sub(r.back) >= rebootWatch)
}

// buttonTrial watches for the button in the feed. Answers: answers, dead. A feed without a button line
// cannot tell.
type buttonTrial struct {
	trialSetup
	edges int
	was   int8
	sent  bool
}

func newButtonTrial(s trialSetup) Trial { return &buttonTrial{trialSetup: s, was: -1} }

func (b *buttonTrial) Add(l *livelevel.Level) {
	on, sent := l.Reading.On(livelevel.Button)
	if !sent || l.Reading.Time.Before(b.from) {
		return
	}
	v := int8(0)
	if on {
		v = 1
	}
	if b.sent && v != b.was {
		b.edges++
	}
	b.was, b.sent = v, true
}

func (b *buttonTrial) State(now time.Time) TrialState {
	st := TrialState{Figure: fmt.Sprintf("%d changes of the button line", b.edges), Why: "the feed carries no button line; look at the display"}
	if b.sent {
		st.Why = st.Figure
	}
	if b.edges > 0 {
		st.Answer = b.answers[0]
	}
	return b.stand(now, b.length(20*time.Second), st, b.edges > 0)
}
