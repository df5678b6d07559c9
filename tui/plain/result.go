package plain

import (
	"encoding/json"
	"io"

	"example.org/tankhand/faulttree"
)

// Schema names the document of a walk and its version.
const Schema = "tankhand/walk/1"

// Result is how a walk came out; it is the document of walk --json.
type Result struct {
	Schema    string    `json:"schema"`
	Complaint string    `json:"complaint"`
	Steps     []Line    `json:"steps"`
	Suspects  []Suspect `json:"suspects"`
	Outcome   string    `json:"outcome"` // named or handed-on
	Cause     *string   `json:"cause"`
	Visit     string    `json:"visit,omitempty"` // id of the record

	left     bool   // the visit stays open
	closedAs string // the outcome, in the record's words
}

// Line is one step of a walk.
type Line struct {
	Probe   string  `json:"probe,omitempty"`
	Remedy  string  `json:"remedy,omitempty"`
	Why     string  `json:"why"`
	Answer  string  `json:"answer"`
	Reason  string  `json:"reason,omitempty"` // why it was skipped, or what the feed showed beside the answer
	Minutes float64 `json:"minutes"`
}

// Suspect is a cause with its probability at the end.
type Suspect struct {
	Cause       string  `json:"cause"`
	Probability float64 `json:"probability"`
}

// LeftOpen: the visit was left, not closed.
func (r Result) LeftOpen() bool { return r.left }

// ClosedAs is the outcome in the record's words; "" where the visit was left open.
func (r Result) ClosedAs() string { return r.closedAs }

// WriteJSON writes the one document.
func (r Result) WriteJSON(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	return enc.Encode(r)
}

func (w *Walk) result(outcome, cause string) *Result {
	v := w.snap.Walk
	r := &Result{Schema: Schema, Complaint: v.Complaint, Steps: []Line{}, Suspects: []Suspect{}, Outcome: outcome, Visit: w.snap.Visit.ID}
	if cause != "" {
		r.Cause = &cause
	}
	for _, t := range v.Path {
		r.Steps = append(r.Steps, lines(t)...)
	}
	for _, s := range v.Suspects {
		r.Suspects = append(r.Suspects, Suspect{s.Cause, s.Probability})
	}
	return r
}

// lines are the lines of one step: evidence of the feed may answer several probes at once.
func lines(t faulttree.Taken) []Line {
	s := t.Step
	why := s.Why
	if why == "" {
		why = t.From
	}
	switch s.Act {
	case faulttree.Evidence:
		if s.Probe != "" {
			return []Line{{Probe: s.Probe, Why: "from the feed", Answer: s.Answer}}
		}
		var out []Line
		for probe, word := range s.Grades {
			out = append(out, Line{Probe: probe, Why: "from the feed", Answer: word})
		}
		return out
	case faulttree.FollowedUp:
		return []Line{{Remedy: s.Cause, Why: t.Title, Answer: string(s.Act)}}
	case faulttree.Remedied, faulttree.PutBack:
		return []Line{{Remedy: s.Cause, Why: why, Answer: map[faulttree.Act]string{faulttree.Remedied: "done", faulttree.PutBack: "put back"}[s.Act], Minutes: s.Minutes}}
	case faulttree.Answered, faulttree.ProofRun:
		return []Line{{Probe: s.Probe, Why: why, Answer: s.Answer, Reason: s.Reason, Minutes: s.Minutes}}
	case faulttree.Skipped, faulttree.CannotTell, faulttree.NotSafe:
		return []Line{{Probe: s.Probe, Remedy: s.Cause, Why: why, Answer: string(s.Act), Reason: s.Reason, Minutes: s.Minutes}}
	}
	return nil
}
