package visit

import (
	"fmt"
	"sort"
	"time"

	"example.org/tankhand/livelevel/feed"
)

// Visit is a service visit: the fold of its events, nothing more. Values are SI.
type Visit struct {
	ID                                string
	Number                            int64 // in the store it came from; 0 when unknown
	Begun, Last                       time.Time
	Events                            int64
	LastSeq                           int64 // the next event of the visit takes LastSeq + 1
	Site, Asset, Technician, Customer string
	Complaint                         ComplaintBody // zero before one is chosen
	Sources                           []SourceRecord
	// Found and Left are the findings as found and as left, Readings all that were recorded.
	Found, Left *FindingsBody
	Readings    []FindingsAt
	Steps       []StepAt // all of them, the undone marked
	Cautions    []CautionAt
	Notes       []NoteAt
	Dips        []DipAt
	Corrections []CorrectionAt
	Drill       *DrillAt // the debrief, where the visit was a drill
	Closed      bool
	Outcome     OutcomeBody // as last named; stays readable after a reopening
	ClosedAt    time.Time
	Reopened    int
	Unread      []string // events that this program could not read, and why
}

// SourceRecord is one feed of the visit.
type SourceRecord struct {
	OpenedBody
	From, To time.Time // To is zero while the feed runs
	Why      string    // of the end
	Capture  *feed.Citation
}

// The records with the time at which they were made.
type (
	// FindingsAt is what the checks said at a time.
	FindingsAt struct {
		At time.Time
		FindingsBody
	}
	// StepAt is a step of the walk at a time.
	StepAt struct {
		Event string
		At    time.Time
		StepBody
		Undone bool
	}
	// CautionAt is an acknowledgement at a time.
	CautionAt struct {
		At time.Time
		CautionBody
	}
	// NoteAt is a note at a time.
	NoteAt struct {
		At time.Time
		NoteBody
		Undone bool
	}
	// CorrectionAt is a correction at a time, with the value it replaced.
	CorrectionAt struct {
		At time.Time
		CorrectionBody
		Was string
	}
)

// Fold makes a visit of its events, in the order of their sequence. An event that cannot be read is
// named in Unread and the rest counts all the same.
func Fold(events []Event) (Visit, error) {
	if len(events) == 0 {
		return Visit{}, fmt.Errorf("reading a visit: it has no events")
	}
	sorted := append([]Event(nil), events...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].Seq < sorted[j].Seq })
	v := Visit{ID: sorted[0].Visit}
	notes := map[string]int{}
	for _, e := range sorted {
		if e.Visit != v.ID {
			return Visit{}, fmt.Errorf("reading visit %s: event %s belongs to visit %s", v.ID, e.ID, e.Visit)
		}
		v.add(e, notes)
	}
	return v, nil
}

func (v *Visit) add(e Event, notes map[string]int) {
	if v.Begun.IsZero() || e.At.Before(v.Begun) {
		v.Begun = e.At
	}
	if e.At.After(v.Last) {
		v.Last = e.At
	}
	v.Events++
	v.LastSeq = max(v.LastSeq, e.Seq)
	body, err := Decode(e)
	if err != nil {
		v.Unread = append(v.Unread, err.Error())
		return
	}
	switch b := body.(type) {
	case NoteBody:
		notes[e.ID] = len(v.Notes)
		v.Notes = append(v.Notes, NoteAt{At: e.At, NoteBody: b})
	case UndoBody:
		v.undo(b, notes)
	default:
		v.apply(e, body)
	}
}

func (v *Visit) apply(e Event, body Body) {
	switch b := body.(type) {
	case BegunBody:
		v.Site, v.Asset, v.Technician, v.Customer = b.Site, b.Asset, b.Technician, b.Customer
	case OpenedBody:
		v.Sources = append(v.Sources, SourceRecord{OpenedBody: b, From: e.At})
	case DialectBody:
		if n := len(v.Sources); n > 0 {
			v.Sources[n-1].DialectName, v.Sources[n-1].Dialect = b.Name, b.Dialect
		}
	case EndedBody:
		v.end(e.At, b)
	case ComplaintBody:
		v.Complaint = b
	case DrillBody:
		v.Drill = &DrillAt{At: e.At, DrillBody: b}
	case FindingsBody:
		v.findings(e.At, b)
	case CautionBody:
		v.Cautions = append(v.Cautions, CautionAt{At: e.At, CautionBody: b})
	case StepBody:
		v.Steps = append(v.Steps, StepAt{Event: e.ID, At: e.At, StepBody: b})
	case DipBody:
		v.Dips = append(v.Dips, DipAt{At: e.At, DipBody: b})
	case OutcomeBody:
		v.Closed, v.Outcome, v.ClosedAt = true, b, e.At
	case ReopenedBody:
		v.Closed = false
		v.Reopened++
	case CorrectionBody:
		v.correct(e.At, b)
	}
}

func (v *Visit) end(at time.Time, b EndedBody) {
	if n := len(v.Sources); n > 0 {
		s := &v.Sources[n-1]
		s.To, s.Why, s.Capture = at, b.Why, b.Capture
	}
}

func (v *Visit) findings(at time.Time, b FindingsBody) {
	v.Readings = append(v.Readings, FindingsAt{At: at, FindingsBody: b})
	switch b.When {
	case AsFound:
		if v.Found == nil { // found is found: only the first counts
			v.Found = &b
		}
	case AsLeft:
		v.Left = &b
	}
}

func (v *Visit) undo(b UndoBody, notes map[string]int) {
	for i := range v.Steps {
		if v.Steps[i].Event == b.Event {
			v.Steps[i].Undone = true
		}
	}
	if i, ok := notes[b.Event]; ok {
		v.Notes[i].Undone = true
	}
}

func (v *Visit) field(name string) *string {
	switch name {
	case "site":
		return &v.Site
	case "asset":
		return &v.Asset
	case "technician":
		return &v.Technician
	case "customer":
		return &v.Customer
	case "words":
		return &v.Complaint.Words
	case "follow-up":
		return &v.Outcome.FollowUp
	case "believed":
		return &v.Outcome.Believed
	}
	return nil
}

func (v *Visit) correct(at time.Time, b CorrectionBody) {
	f := v.field(b.Field)
	if f == nil {
		v.Unread = append(v.Unread, fmt.Sprintf("a correction of %q, a field that this program does not know", b.Field))
		return
	}
	v.Corrections = append(v.Corrections, CorrectionAt{At: at, CorrectionBody: b, Was: *f})
	*f = b.Value
}
