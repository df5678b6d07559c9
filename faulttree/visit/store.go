package visit

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// Errors of a store.
var (
	// ErrConflict: another event holds that place in the visit; read the visit again and try anew.
	ErrConflict = errors.New("another event is in that place already (a second program writes to this visit)")
	// ErrPurged: the visit was erased for good and stays so.
	ErrPurged = errors.New("that visit was erased (purged) from this store")
	// ErrNoVisit: nothing answers to what was typed.
	ErrNoVisit = errors.New("no such visit")

	errForeign = errors.New("the file is not a visit store")
	errDamaged = errors.New("the file is damaged")
	errNewer   = errors.New("the store was written by a newer tankhand")
)

const maxWord = 200 // bytes of an id or kind

// valid refuses what could not come back the same.
func (e *Event) valid() error {
	year := e.At.UTC().Year()
	switch {
	case e.ID == "" || e.Visit == "" || e.Kind == "":
		return errors.New("an event needs an id, a visit and a kind")
	case !word(e.ID) || !word(e.Visit) || !word(string(e.Kind)):
		return errors.New("id, visit and kind must be short plain text")
	case e.Seq < 1:
		return fmt.Errorf("its sequence number is %d, the first is 1", e.Seq)
	case e.V < 1:
		return fmt.Errorf("its version is %d, the first is 1", e.V)
	case year < 1971 || year > 2200:
		return fmt.Errorf("its time %s is impossible", e.At.UTC().Format(time.RFC3339))
	case len(e.Body) > MaxBody:
		return fmt.Errorf("its body has %d bytes, %d are allowed", len(e.Body), MaxBody)
	case !json.Valid(e.Body) || !utf8.Valid(e.Body):
		return errors.New("its body is no JSON in UTF-8")
	}
	return nil
}

// compact writes JSON in the one way in which every event is kept, so that the same event is the
// same bytes after any number of exports.
func compact(body json.RawMessage) json.RawMessage {
	if out, err := json.Marshal(body); err == nil {
		return out
	}
	return body
}

func word(s string) bool {
	if len(s) > maxWord {
		return false
	}
	for _, r := range s {
		if r <= ' ' || r > '~' {
			return false
		}
	}
	return true
}

func (e *Event) same(o Event) bool {
	return e.ID == o.ID && e.Visit == o.Visit && e.Seq == o.Seq && e.At.Equal(o.At) && e.Kind == o.Kind && e.V == o.V &&
		bytes.Equal(compact(e.Body), compact(o.Body))
}

// minPrefix is the least of an id that is taken for one: a small number means the list's number.
const minPrefix = 4

func find(all []Summary, ref string) (string, error) {
	if ref == "" {
		return "", fmt.Errorf("finding a visit: nothing was given (a number of `visits list`, or the beginning of an id)")
	}
	if n, err := strconv.ParseInt(ref, 10, 64); err == nil {
		for _, s := range all {
			if s.Number == n {
				return s.ID, nil
			}
		}
	}
	var hits []string
	if len(ref) >= minPrefix {
		for _, s := range all {
			if strings.HasPrefix(s.ID, strings.ToLower(ref)) {
				hits = append(hits, s.ID)
			}
		}
	}
	switch len(hits) {
	case 1:
		return hits[0], nil
	case 0:
		return "", fmt.Errorf("finding visit %q: %w (`visits list` shows them; an id needs its first %d characters)", ref, ErrNoVisit, minPrefix)
	}
	return "", fmt.Errorf("finding visit %q: %d visits begin so, give more of the id (%s)", ref, len(hits), strings.Join(hits[:2], ", "))
}
