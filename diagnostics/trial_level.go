package diagnostics

import (
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/tankhand/livelevel"
)

// standsTrial sees whether a falling level stands still once something is shut. Answers, in any order:
// stands still now, falls on, was not falling.
type standsTrial struct{ pumpRun }

func newStandsTrial(s trialSetup) Trial { return &standsTrial{pumpRun{trialSetup: s}} }

func (t *standsTrial) Add(l *livelevel.Level) { t.tape.add(l, t.from) }

// Figures of the standing level; common practice, no source.
const (
	standsLeast = 0.004 // m, below which a change is not seen
	standsShare = 0.25  // of the fall of before that counts as standing still
	fallsShare  = 0.60  // of it that counts as falling on
)

func (t *standsTrial) word(w string) string {
	if slices.Contains(t.answers, w) {
		return w
	}
	return ""
}

func (t *standsTrial) State(now time.Time) TrialState {
	length := t.length(5 * time.Minute)
	fell, run := t.fall(now)
	st := TrialState{Figure: fmt.Sprintf("%+.1f cm in %s", -100*fell, run.Round(time.Second))}
	st.Why = st.Figure
	if trend := t.grade("draw-rate", "trend"); trend != "" && trend != "falls" {
		st.Answer, st.Why = t.word("was not falling"), "with the pump off the level was not falling before: "+trend
		return t.stand(now, length, st, st.Answer != "")
	}
	due := t.fallDue(run)
	full := !now.Before(t.from.Add(length))
	switch {
	case !full || math.IsNaN(fell):
	case switches(t.samples) > 0 || pumpAt(t.samples) == 1:
		st.Why += "; the pump ran meanwhile"
	case !(due >= 3*standsLeast):
		st.Why += "; too slow a fall to judge in this time: wait longer"
	case fell >= fallsShare*due:
		st.Answer = t.word("falls on")
	case fell <= standsShare*due:
		st.Answer = t.word("stands still now")
	}
	return t.stand(now, length, st, false)
}

// fall is how far the level fell since the trial began.
func (t *standsTrial) fall(now time.Time) (m float64, run time.Duration) {
	d := 20 * time.Second
	run = max(0, now.Sub(t.from))
	return middle(depths(t.between(t.from, t.from.Add(d)))) - middle(depths(t.recent(now, d, 2))), run
}

// fallDue is the fall that the draw of before would bring.
func (t *standsTrial) fallDue(run time.Duration) float64 {
	draw, ok := t.figure("draw-rate", "draw_m3_per_h")
	area := t.area()
	if !ok || !(area > 0) {
		return math.NaN()
	}
	return math.Abs(draw) * run.Hours() / area
}

// bucketTrial shows what a bucket did. Answers: as expected, wrong amount, wrong way, no change. How much
// was poured only the technician knows: it says "no change" by itself, and the litres otherwise.
type bucketTrial struct{ standsTrial }

func newBucketTrial(s trialSetup) Trial { return &bucketTrial{standsTrial{pumpRun{trialSetup: s}}} }

func (t *bucketTrial) State(now time.Time) TrialState {
	length := t.length(5 * time.Minute)
	fell, _ := t.fall(now)
	st := TrialState{Figure: fmt.Sprintf("%+.1f cm", -100*fell)}
	if area := t.area(); area > 0 {
		st.Figure += fmt.Sprintf(", that is %+.0f l", -1000*fell*area)
	}
	st.Why = st.Figure + "; compare with what was added or drawn"
	if !now.Before(t.from.Add(length)) && math.Abs(fell) < standsLeast {
		st.Answer, st.Why = t.answers[3], st.Figure
	}
	return t.stand(now, length, st, false)
}
