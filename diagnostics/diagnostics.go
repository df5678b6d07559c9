// Package diagnostics holds the checks: automatic ones that stream over the levels of a feed, and
// desk checks of a site sheet alone. A check yields a Finding.
package diagnostics

import (
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// Verdict is the outcome of a check. Its zero value is the honest one.
type Verdict uint8

// The verdicts.
const (
	CannotTell Verdict = iota
	Pass
	Fail
)

// String is the verdict as it is written in documents.
func (v Verdict) String() string { return [...]string{"cannot-tell", "pass", "fail"}[v] }

// Figure is one number of a finding, SI or as its name says. NaN is unknown (null in JSON).
type Figure struct {
	Name  string
	Value float64
	Unit  string // for people: "cm", "%", "1/h", "V"; the Value is SI, or as the Name says
}

// Grade is the word an aspect of a check shows; an aspect without a grade cannot be told yet.
type Grade struct {
	Aspect string
	Word   string
	// Since is from when on (feed time) the aspect has shown this word without a break, with the
	// check's hold time: for the "seen" rules of the knowledge. Over a whole feed it is the start of
	// the longest stretch of the word.
	Since time.Time
	// Held is how long the evidence counts as having lasted, for rules with "for:" (pump-on time
	// in fill-rate, time in which the water should move in stuck-reading, else Now - Since; over a
	// whole feed the longest stretch of the word).
	Held time.Duration
}

// Span is a stretch of feed.
type Span struct{ From, To time.Time }

// Episode is a stretch in which a check failed, with its figures there.
type Episode struct {
	Span
	Figures []Figure
}

// Finding is what a check says now.
type Finding struct {
	Check    string
	Verdict  Verdict
	Grades   []Grade
	Figures  []Figure
	Limit    string // "at most 5 % lost"
	Why      string // one sentence, with numbers
	Source   string // of the limit
	Missing  string // what would tell, when it cannot
	Change   string // desk checks: what to change, with a worked value
	Evidence Span
	Episodes []Episode
	// Mostly is the part of the day that holds most of what was counted; nil where there is none.
	Mostly *Cluster
	// Runs are the pump runs of fill-rate, newest last, at most 32.
	Runs []Run
}

// Run is one stretch with the pump on. Heights and flows are NaN where they cannot be known.
type Run struct {
	Span
	StartUllage, StopUllage float64 // m
	Flow, FlowLow, FlowHigh float64 // m3/h, draw-off added where it is known
}

// Grade returns the word of an aspect, or "" when it cannot be told.
func (f *Finding) Grade(aspect string) string {
	for _, g := range f.Grades {
		if g.Aspect == aspect {
			return g.Word
		}
	}
	return ""
}

// Figure returns the value of a figure and whether the finding has it at all.
func (f *Finding) Figure(name string) (value float64, ok bool) {
	for _, g := range f.Figures {
		if g.Name == name {
			return g.Value, true
		}
	}
	return 0, false
}

// Check is one automatic check.
type Check interface {
	ID() string
	// Aspects lists the aspects, each with its words, always in one order.
	Aspects() []Aspect
	New(sheet *site.Sheet) Observer
}

// Aspect is one question that a check's grades answer.
type Aspect struct {
	Name  string
	Words []string
}

// Observer is a running check: bounded state, whatever the length of the feed.
type Observer interface {
	Add(l *livelevel.Level)
	Finding(now time.Time) Finding
}
