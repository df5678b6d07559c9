package diagnostics

import (
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// Trial watches the feed for the answer of a prompted probe: the technician does something, the
// tool sees what the feed makes of it.
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

// NewTrial starts a trial of a kind named in the knowledge; ok is false for a kind it does not know.
// before are the findings as they stood when the technician began, answers the probe's words.
func NewTrial(kind string, answers []string, before []Finding, sheet *site.Sheet, from time.Time) (t Trial, ok bool) {
	return nil, false
}
