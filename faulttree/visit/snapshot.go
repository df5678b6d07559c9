package visit

import (
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/site"
)

// Snapshot is all that a screen shows of a running visit; nobody changes it after it was sent.
type Snapshot struct {
	Now      time.Time
	Feed     feed.Stats
	State    FeedState
	Why      string // of the state: "unplugged 0:12 ago, trying again"
	RateHz   float64
	Listened time.Duration // how long the feed has been heard, silence included
	Dialect  dialect.Dialect
	Settled  bool
	Columns  []dialect.Column    // what the learner makes of each column
	Raw      []string            // the last raw lines, controls not yet made visible
	Recent   []livelevel.Reading // the last readings, newest last, for the teach-in screen
	Sheet    *site.Sheet
	Level    livelevel.Level
	Largest  string  // the greatest contribution to the level's uncertainty, in words
	Trend    []Point // oldest first, at most an hour, evenly thinned
	PumpOn   bool
	PumpSeen bool
	PumpFor  time.Duration     // how long in this state
	RunFlow  float64           // m3/s of this run, NaN when unknown
	Between  diagnostics.Hours // of the day; what lies outside was not looked at
	Findings []diagnostics.Finding
	Desk     []diagnostics.Finding
	Seen     []faulttree.Sighting
	Walk     *WalkView // nil before a complaint is chosen
	Visit    Summary
	Notes    []string
	// Store is "" while every event is on disk, else what is wrong and what happens about it.
	Store string
	Ended bool // the feed has ended
}

// FeedState is the health of the feed in one word.
type FeedState string

// The states of a feed.
const (
	Waiting  FeedState = "waiting"  // opened, nothing came yet
	Learning FeedState = "learning" // lines come, dialect not settled
	Good     FeedState = "good"
	Silent   FeedState = "silent"
	Gone     FeedState = "gone" // unplugged; polling
	Refused  FeedState = "refused"
	Over     FeedState = "over" // end of the log
)

// Point is one bucket of the trend.
type Point = livelevel.Point

// WalkView is the walk as the screen sees it.
type WalkView struct {
	Complaint string
	Title     string
	Words     string // the customer's own
	Path      []faulttree.Taken
	Suspects  []faulttree.Suspect
	Offer     faulttree.Offer
	// Better says in a few words that new evidence would offer another step; "" when it would not.
	Better string
	// AckedCautions: the cautions of the offered step were acknowledged.
	AckedCautions bool
	// Trial is the running watch of a prompted probe; nil when none runs.
	Trial   *TrialView
	Minutes float64 // technician's minutes so far
	// Questions may be asked now instead of the offered step, the most telling first.
	Questions []faulttree.Question
	// Untold is what the most telling probe without an answer would bring, in bits.
	Untold float64
	// Classify turns a meter reading in SI into a probe's answer; ok is false where the site sheet lacks a fact for it.
	Classify func(probe string, v float64) (answer string, ok bool)
	// Odd is an answer that contradicts the others; nil while none stands out.
	Odd *faulttree.Odd
	// Explain tells what speaks for and against a suspect.
	Explain func(cause string) (faulttree.Explanation, bool)
	// Proven: the proofs of the cure have passed, whatever is asked beyond it.
	Proven  bool
	Done    bool
	Outcome string
}

// Cause is the cause of the complaint that was mended last; "" when nothing was. What is asked beyond a
// cure does not change it.
func (w *WalkView) Cause() (cause string) {
	for _, t := range w.Path {
		switch t.Step.Act {
		case faulttree.Remedied:
			cause = t.Step.Cause
		case faulttree.FollowedUp:
			return t.Step.Cause
		}
	}
	return cause
}

// TrialView is a prompted probe being watched.
type TrialView struct {
	Probe     string
	Since     time.Time
	Remaining time.Duration
	Figure    string // "0.498 m, steady"
	Answer    string // what the feed says so far; "" while it cannot tell
	Why       string
	Done      bool
	// Blind: the feed cannot show the answer of this probe; what is seen must be said.
	Blind bool
}

// Command is what a technician does; Session.Do carries it out on the session's goroutine.
type Command interface{ command() }

// The commands.
type (
	// SetComplaint starts the walk.
	SetComplaint struct{ ID, Words string }
	// Acknowledge the cautions of the offered step.
	Acknowledge struct{}
	// AnswerProbe answers the offered probe (also as a proof), by word or by meter reading in SI.
	AnswerProbe struct {
		Probe, Answer string
		Value         *float64
	}
	// SkipStep passes over the offered step. How is skip, cannot-tell or not-safe.
	SkipStep struct {
		How    faulttree.Act
		Reason string
	}
	// BringBackProbe opens a skipped probe again.
	BringBackProbe struct{ Probe string }
	// AskProbe offers a probe of the technician's choice, or one again that was answered before.
	AskProbe struct{ Probe string }
	// BeginTrial says that the prompted action starts now.
	BeginTrial struct{}
	// EndTrial stops watching without an answer.
	EndTrial struct{}
	// TryRemedy says that the remedy of a cause was done (the offered one when Cause is "").
	TryRemedy struct{ Cause string }
	// UndoLast takes back the technician's last step.
	UndoLast struct{}
	// TakeBetter replaces the offered step by the one that new evidence makes better, or goes beyond a
	// cure: what killed the part?
	TakeBetter struct{}
	// AddNote keeps a note.
	AddNote struct{ Text string }
	// Close ends the visit with an outcome.
	CloseVisit struct{ Outcome, CuredBy, FollowUp string }
	// UseDialect changes the dialect from now on.
	UseDialect struct{ Dialect dialect.Dialect }
)

func (SetComplaint) command()   {}
func (Acknowledge) command()    {}
func (AnswerProbe) command()    {}
func (SkipStep) command()       {}
func (BringBackProbe) command() {}
func (AskProbe) command()       {}
func (BeginTrial) command()     {}
func (EndTrial) command()       {}
func (TryRemedy) command()      {}
func (UndoLast) command()       {}
func (TakeBetter) command()     {}
func (AddNote) command()        {}
func (CloseVisit) command()     {}
func (UseDialect) command()     {}
