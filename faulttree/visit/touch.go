package visit

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
)

// touch is what new events change in a visit's line of the list.
type touch struct {
	first, last int64
	count       int64
	refold      bool
}

// telling are the kinds that can change more of the line than its times and its count.
var telling = map[Kind]bool{VisitBegun: true, ComplaintSet: true, OutcomeMade: true, VisitReopened: true, Corrected: true}

func (t *touch) add(e Event) {
	at := e.At.UnixNano()
	if t.count == 0 {
		t.first, t.last = math.MaxInt64, math.MinInt64
	}
	t.first, t.last = min(t.first, at), max(t.last, at)
	t.count++
	t.refold = t.refold || telling[e.Kind]
}

func (t *touch) update(ctx context.Context, tx *trans, id string) error {
	// An update first: an insert that meets a conflict would use up one of the numbers for people.
	r, err := tx.ExecContext(ctx, `UPDATE visits SET begun = CASE WHEN begun < ? THEN begun ELSE ? END,
		last = CASE WHEN last > ? THEN last ELSE ? END, events = events + ? WHERE id = ?`, t.first, t.first, t.last, t.last, t.count, id)
	if err != nil {
		return err
	}
	if n, err := r.RowsAffected(); err != nil {
		return err
	} else if n == 0 {
		_, err = tx.ExecContext(ctx, `INSERT INTO visits (id, begun, last, events, site, asset, complaint, outcome, cause)
			VALUES (?, ?, ?, ?, '', '', '', '', '')`, id, t.first, t.last, t.count)
		if err != nil {
			return err
		}
	}
	if !t.refold {
		return err
	}
	return refold(ctx, tx, id)
}

// refold derives the line of a visit anew from its events.
func refold(ctx context.Context, tx *trans, id string) error {
	events, err := queryEvents(ctx, tx, "WHERE visit = ?", id)
	if err != nil {
		return err
	}
	v, err := Fold(events)
	if err != nil {
		return err
	}
	s := v.Summary()
	_, err = tx.ExecContext(ctx, "UPDATE visits SET site = ?, asset = ?, complaint = ?, outcome = ?, cause = ? WHERE id = ?",
		listed(s.Site), listed(s.Asset), listed(s.Complaint), listed(s.Outcome), listed(s.Cause), id)
	return err
}

// maxListed bounds a text of the list, in bytes: an index cannot hold more than a few of a kilobyte.
const maxListed = 300

// listed makes a text fit for the list; the event keeps all of it. A NUL fits no column.
func listed(s string) string {
	s = strings.ToValidUTF8(strings.ReplaceAll(s, "\x00", ""), "")
	if len(s) <= maxListed {
		return s
	}
	return strings.ToValidUTF8(s[:maxListed], "")
}

// Primary result codes of SQLite (sqlite.org/rescode.html), told apart by what a person can do.
const (
	codePerm, codeBusy, codeLocked, codeReadOnly, codeIO, codeCorrupt, codeFull, codeCantOpen, codeNotDB = 3, 5, 6, 8, 10, 11, 13, 14, 26
)

// storeError says what was being done, on what, why, and what to do.
func storeError(doing, path string, err error) error {
	advice := ""
	var coded interface{ Code() int }
	switch {
	case errors.Is(err, ErrConflict), errors.Is(err, ErrPurged), errors.Is(err, context.Canceled):
	case errors.Is(err, errNewer):
		advice = " (update this program; nothing was changed)"
	case errors.Is(err, errForeign):
		advice = " (give another file or --data folder; nothing was changed)"
	case errors.Is(err, errDamaged):
		advice = codeAdvice(codeCorrupt, path)
	case errors.As(err, &coded):
		advice = codeAdvice(coded.Code()&0xff, path)
	default:
		advice = fileAdvice(err)
	}
	return fmt.Errorf("%s the visit store %s: %w%s", doing, path, err, advice)
}

func isBusy(err error) bool {
	var coded interface{ Code() int }
	if !errors.As(err, &coded) {
		return false
	}
	code := coded.Code() & 0xff
	return code == codeBusy || code == codeLocked
}

func codeAdvice(code int, path string) string {
	switch code {
	case codeBusy, codeLocked:
		return " (another program is writing to it: close it, or wait and try again)"
	case codeReadOnly, codePerm, codeCantOpen:
		return " (the file, its folder or the disk may not be written: give yourself the right, or another --data folder)"
	case codeFull:
		return " (the disk is full: make room, then go on)"
	case codeIO:
		return " (the disk failed: copy the data folder to another disk before anything else)"
	case codeCorrupt, codeNotDB:
		return fmt.Sprintf(" (keep the damaged file: `tankhand visits salvage %s --out mended.db` reads what can be read; move the damaged one aside together with its -wal and -shm files, and put the mended one or what was exported in its place)", path)
	}
	return ""
}
