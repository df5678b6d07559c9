package visit

import (
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"time"
)

// MaxBody bounds the body of one event: a visit comes back from bundles that strangers can write.
const MaxBody = 8 << 20

// ErrUnknownEvent is wrapped for an event of a kind or version that this program does not know; such
// an event is kept and carried along, never dropped.
var ErrUnknownEvent = errors.New("an event of a newer program")

// shape says how the body of a kind is written now and how older ones become new.
type shape struct {
	version int
	body    func() Body
	// upgrade turns the object of version i+1 into that of version i+2.
	upgrade []func(map[string]any)
}

func of[B Body](version int, upgrade ...func(map[string]any)) shape {
	return shape{version: version, body: func() Body { return any(new(B)).(Body) }, upgrade: upgrade}
}

var shapes = map[Kind]shape{
	VisitBegun: of[BegunBody](1), FeedOpened: of[OpenedBody](1), FeedEnded: of[EndedBody](1), ComplaintSet: of[ComplaintBody](1),
	FindingsMade: of[FindingsBody](1), StepShown: of[ShownBody](1), CautionAck: of[CautionBody](1), StepTaken: of[StepBody](1),
	StepUndone: of[UndoBody](1), NoteMade: of[NoteBody](1), OutcomeMade: of[OutcomeBody](1), VisitReopened: of[ReopenedBody](1),
	Corrected: of[CorrectionBody](1), DialectUsed: of[DialectBody](1), DipMade: of[DipBody](1), DrillEnded: of[DrillBody](1),
}

// New writes an event with a body, which says its kind. Who keeps the clock stamps it (Event.Stamp)
// before it is stored.
func New(body Body) (Event, error) {
	if body == nil {
		return Event{}, errors.New("writing an event: it has no body")
	}
	kind := body.kind()
	s, known := shapes[kind]
	if !known {
		return Event{}, fmt.Errorf("writing an event: no such kind %q", kind)
	}
	raw, err := json.Marshal(body)
	if err != nil {
		return Event{}, fmt.Errorf("writing an event of kind %q: %w (numbers must be finite)", kind, err)
	}
	return Event{Kind: kind, V: s.version, Body: raw}, nil
}

// Stamp gives an event its place in a visit.
func (e Event) Stamp(id, visit string, seq int64, at time.Time) Event {
	e.ID, e.Visit, e.Seq, e.At = id, visit, seq, at.Round(0).UTC()
	return e
}

// Decode returns what an event says, as a value of its kind's body type in today's shape.
func Decode(e Event) (Body, error) {
	s, known := shapes[e.Kind]
	if !known {
		return nil, fmt.Errorf("event %d of kind %q: %w", e.Seq, e.Kind, ErrUnknownEvent)
	}
	return s.decode(e)
}

func (s shape) decode(e Event) (Body, error) {
	if e.V > s.version || e.V < 1 {
		return nil, fmt.Errorf("event %d of kind %q has version %d, this program knows 1 to %d: %w", e.Seq, e.Kind, e.V, s.version, ErrUnknownEvent)
	}
	raw, err := s.upgraded(e)
	if err == nil {
		body := s.body()
		if err = json.Unmarshal(raw, body); err == nil {
			return reflect.ValueOf(body).Elem().Interface().(Body), nil
		}
	}
	return nil, fmt.Errorf("event %d of kind %q cannot be read: %w", e.Seq, e.Kind, err)
}

func (s shape) upgraded(e Event) (json.RawMessage, error) {
	if e.V == s.version {
		return e.Body, nil
	}
	var object map[string]any
	if err := json.Unmarshal(e.Body, &object); err != nil {
		return nil, err
	}
	if object == nil {
		return nil, errors.New("its body is no object")
	}
	for _, up := range s.upgrade[e.V-1:] {
		up(object)
	}
	return json.Marshal(object)
}
