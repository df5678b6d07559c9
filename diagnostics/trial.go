package diagnostics

import (
	"strconv"
	"strings"
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// Trial watches the feed for the answer of a prompted probe: the technician does something, the
// tool sees what the feed makes of it. It takes time from the levels and from now alone.
type Trial interface {
	Add(l *livelevel.Level)
	State(now time.Time) TrialState
}

// TrialState is how a trial stands.
type TrialState struct {
	Figure    string // what is seen now, in words with numbers
	Remaining time.Duration
	Answer    string // one of the answers handed to NewTrial, "" while it cannot tell
	Why       string
	Done      bool
}

// trialSetup is what every kind of trial begins with.
type trialSetup struct {
	answers []string
	before  []Finding
	sheet   *site.Sheet
	from    time.Time
	args    []string
}

// trialKinds are the kinds that the knowledge may name. A kind is a word and its parameters, lengths
// in metres and times as 20s or 3m: "board 0.5 60s". answers is how many words the probe must have;
// their order is that of the shipped knowledge.
var trialKinds = map[string]struct {
	answers int
	begin   func(trialSetup) Trial
}{
	"board":     {4, newBoardTrial},
	"known":     {2, newKnownTrial},
	"compare":   {2, newCompareTrial},
	"moves":     {2, newMovesTrial},
	"rock":      {2, newRockTrial},
	"appears":   {2, newAppearsTrial},
	"reboot":    {2, newRebootTrial},
	"button":    {2, newButtonTrial},
	"start":     {4, newStartTrial},
	"autostart": {4, newAutoStartTrial},
	"fullstop":  {4, newFullStopTrial},
	"cycle":     {5, newCycleTrial},
	"unplug":    {3, newUnplugTrial},
	"stands":    {3, newStandsTrial},
	"bucket":    {4, newBucketTrial},
}

// NewTrial starts a trial of a kind named in the knowledge; ok is false for a kind it does not know.
// before are the findings as they stood when the technician began, answers the probe's words.
func NewTrial(kind string, answers []string, before []Finding, sheet *site.Sheet, from time.Time) (t Trial, ok bool) {
	words := strings.Fields(kind)
	if len(words) == 0 {
		return nil, false
	}
	k, ok := trialKinds[words[0]]
	if !ok || len(answers) != k.answers {
		return nil, false
	}
	if sheet == nil {
		sheet = &site.Sheet{}
	}
	return k.begin(trialSetup{answers, before, sheet, from, words[1:]}), true
}

// length is the first parameter that is a time; def when there is none.
func (s trialSetup) length(def time.Duration) time.Duration {
	for _, a := range s.args {
		if d, err := time.ParseDuration(a); err == nil && d > 0 {
			return d
		}
	}
	return def
}

// metres is the first parameter that is a mere number; def when there is none.
func (s trialSetup) metres(def float64) float64 {
	for _, a := range s.args {
		if v, err := strconv.ParseFloat(a, 64); err == nil && v > 0 {
			return v
		}
	}
	return def
}

// figure is a figure of a finding as it was before.
func (s trialSetup) figure(check, name string) (float64, bool) {
	for i := range s.before {
		if s.before[i].Check != check {
			continue
		}
		for _, f := range s.before[i].Figures {
			if f.Name == name && f.Value == f.Value {
				return f.Value, true
			}
		}
	}
	return 0, false
}

// grade is a grade as it was before, "" when it could not be told.
func (s trialSetup) grade(check, aspect string) string {
	for i := range s.before {
		if s.before[i].Check == check {
			return s.before[i].Grade(aspect)
		}
	}
	return ""
}

// stand fills in the count-down: the trial is done when it has an answer for good or its time is up.
func (s trialSetup) stand(now time.Time, length time.Duration, st TrialState, early bool) TrialState {
	st.Remaining = max(0, s.from.Add(length).Sub(now))
	st.Done = st.Remaining == 0 || early
	if early {
		st.Remaining = 0
	}
	return st
}
