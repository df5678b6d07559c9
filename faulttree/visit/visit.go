// Package visit is the running and the recorded service visit: Event, Visit (the fold of its
// events), Store, and Session (the sole owner of a running visit).
package visit

import (
	"context"
	"encoding/json"
	"time"
)

// Event is the only thing stored. Events are never changed: a correction is a later event.
type Event struct {
	ID    string          `json:"id"`    // UUID
	Visit string          `json:"visit"` // UUID
	Seq   int64           `json:"seq"`   // within the visit, from 1
	At    time.Time       `json:"at"`
	Kind  Kind            `json:"kind"`
	V     int             `json:"v"` // version of the body's shape
	Body  json.RawMessage `json:"body"`
}

// Kind of an event.
type Kind string

// The kinds; each has a body type of its own in bodies.go.
const (
	VisitBegun    Kind = "visit-begun"
	FeedOpened    Kind = "feed-opened"    // source, dialect text, sheet text
	DialectUsed   Kind = "dialect"        // how the lines are read from here on: worked out, given or mended
	FeedEnded     Kind = "feed-ended"     // why, citation of the capture
	ComplaintSet  Kind = "complaint"      // id, customer's words, hash of the knowledge, priors
	FindingsMade  Kind = "findings"       // as found or as left: findings and level, citation
	StepShown     Kind = "step-shown"     // the offer
	CautionAck    Kind = "caution"        // acknowledged
	StepTaken     Kind = "step"           // wraps a faulttree.Step
	StepUndone    Kind = "undo"           // of which event
	NoteMade      Kind = "note"           //
	OutcomeMade   Kind = "outcome"        // mended and proven, mended not proven, handed on, no fault found, not safe today
	VisitReopened Kind = "visit-reopened" //
	Corrected     Kind = "correction"     // a fact of the visit put right: which, what it is now, why
)

// Store keeps events. Append returns only when the events are on disk.
type Store interface {
	Append(ctx context.Context, events ...Event) error
	Events(ctx context.Context, visit string) ([]Event, error)
	// Visits lists visits, newest first.
	Visits(ctx context.Context) ([]Summary, error)
	// Find turns what a person typed (a number of the list, or the beginning of an id) into an id.
	Find(ctx context.Context, ref string) (string, error)
	Close() error
}

// Summary is a line of the list of visits.
type Summary struct {
	Number                          int64 // small, for people; of this store only
	ID                              string
	Begun, Last                     time.Time
	Site, Asset, Complaint, Outcome string
	Cause                           string
	Events                          int64
}
