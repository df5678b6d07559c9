package visit

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"example.org/tankhand/livelevel/feed"
)

// Purged says what an erasure took away. Captures are the raw captures that no other visit cites:
// their files are the caller's to delete.
type Purged struct {
	Visits, Events int64
	Captures       []feed.Citation
}

// PurgeVisit erases a visit for good: its events, its line and their traces in the file. Who did it,
// when and why stays on the record, and no import brings the visit back.
func (s *sqlStore) PurgeVisit(ctx context.Context, id, by, reason string, at time.Time) (Purged, error) {
	var out Purged
	err := s.erase(ctx, func(tx *trans) error {
		events, err := queryEvents(ctx, tx, "WHERE visit = ?", id)
		if err != nil {
			return err
		}
		if len(events) == 0 {
			return fmt.Errorf("visit %s: %w", id, ErrNoVisit)
		}
		out = Purged{Visits: 1, Events: int64(len(events))}
		if out.Captures, err = onlyHere(ctx, tx, events); err != nil {
			return err
		}
		for _, q := range []string{"DELETE FROM events WHERE visit = ?", "DELETE FROM visits WHERE id = ?"} {
			if _, err := tx.ExecContext(ctx, q, id); err != nil {
				return err
			}
		}
		return recordPurge(ctx, tx, at, by, reason, sql.NullString{String: id, Valid: true}, out.Events)
	})
	if err != nil {
		return Purged{}, storeError("erasing from", s.path, err)
	}
	return out, nil
}

// onlyHere are the captures of a visit that no other visit cites.
func onlyHere(ctx context.Context, tx *trans, events []Event) ([]feed.Citation, error) {
	v, err := Fold(events)
	if err != nil {
		return nil, err
	}
	var out []feed.Citation
	for _, c := range v.Captures() {
		quoted, err := json.Marshal(c.Path)
		if err != nil {
			return nil, err
		}
		var n int
		err = tx.QueryRowContext(ctx, "SELECT count(*) FROM events WHERE visit <> ? AND replace(body, ?, '') <> body", v.ID, string(quoted)).Scan(&n)
		if err != nil {
			return nil, err
		}
		if n == 0 {
			out = append(out, c)
		}
	}
	return out, nil
}

func recordPurge(ctx context.Context, tx *trans, at time.Time, by, reason string, visit sql.NullString, events int64) error {
	_, err := tx.ExecContext(ctx, "INSERT INTO purges (at, by, reason, visit, events) VALUES (?,?,?,?,?)", at.UnixNano(), by, reason, visit, events)
	return err
}

// Erased stands where a person's name was.
const Erased = "(erased)"

// PurgePerson takes a person's name out of every event, whatever its field and letter case, and
// keeps the rest. The name itself is not kept on the record.
func (s *sqlStore) PurgePerson(ctx context.Context, name, by, reason string, at time.Time) (Purged, error) {
	name = strings.TrimSpace(name)
	if utf8.RuneCountInString(name) < 3 {
		return Purged{}, fmt.Errorf("erasing %q from the visit store: the name needs three letters, or too much would go", name)
	}
	var out Purged
	err := s.erase(ctx, func(tx *trans) error {
		events, err := queryEvents(ctx, tx, "")
		if err != nil {
			return err
		}
		visits := map[string]bool{}
		for _, e := range events {
			body, changed := without(e.Body, name)
			if !changed {
				continue
			}
			if _, err := tx.ExecContext(ctx, "UPDATE events SET body = ?, erased = 1 WHERE id = ?", string(body), e.ID); err != nil {
				return err
			}
			visits[e.Visit] = true
			out.Events++
		}
		for id := range visits {
			if err := refold(ctx, tx, id); err != nil {
				return err
			}
		}
		out.Visits = int64(len(visits))
		return recordPurge(ctx, tx, at, by, reason, sql.NullString{}, out.Events)
	})
	if err != nil {
		return Purged{}, storeError("erasing from", s.path, err)
	}
	return out, nil
}

// without takes a name out of every text of a JSON value.
func without(body json.RawMessage, name string) (json.RawMessage, bool) {
	var v any
	dec := json.NewDecoder(bytes.NewReader(body))
	dec.UseNumber() // numbers stay as they were written
	if err := dec.Decode(&v); err != nil {
		return body, false
	}
	changed := false
	v = mapTexts(v, func(s string) string {
		t := replaceFold(s, name, Erased)
		changed = changed || t != s
		return t
	})
	out, err := json.Marshal(v)
	if err != nil || !changed {
		return body, false
	}
	return out, true
}

func mapTexts(v any, f func(string) string) any {
	switch v := v.(type) {
	case string:
		return f(v)
	case []any:
		for i := range v {
			v[i] = mapTexts(v[i], f)
		}
	case map[string]any:
		for k := range v {
			v[k] = mapTexts(v[k], f)
		}
	}
	return v
}

// replaceFold replaces old by new whatever the letter case.
func replaceFold(s, old, new string) string {
	var b strings.Builder
	for i := 0; i < len(s); {
		if n := foldPrefix(s[i:], old); n > 0 {
			b.WriteString(new)
			i += n
			continue
		}
		_, n := utf8.DecodeRuneInString(s[i:])
		b.WriteString(s[i : i+n])
		i += n
	}
	return b.String()
}

// foldPrefix is how many bytes of s spell old, 0 when s does not begin with it.
func foldPrefix(s, old string) int {
	n := 0
	for range utf8.RuneCountInString(old) {
		_, w := utf8.DecodeRuneInString(s[n:])
		n += w
	}
	if n > 0 && strings.EqualFold(s[:n], old) {
		return n
	}
	return 0
}

// eraseFile runs f and then makes the file forget: freed pages are overwritten, and the log, which still
// holds the old ones, is emptied into the file.
func (s *SQLite) eraseFile(ctx context.Context, f func(*trans) error) error {
	if _, err := s.db.ExecContext(ctx, "PRAGMA secure_delete=ON"); err != nil {
		return err
	}
	if err := s.write(ctx, f); err != nil {
		return err
	}
	if _, err := s.db.ExecContext(ctx, "VACUUM"); err != nil {
		return err
	}
	var busy, inLog, moved int
	if err := s.db.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &inLog, &moved); err != nil {
		return err
	}
	if busy != 0 {
		return errors.New("erased, but another program still reads the old pages: close it and run the purge again")
	}
	return nil
}

func isErased(ctx context.Context, tx *trans, id string) (bool, error) {
	var erased bool
	err := tx.QueryRowContext(ctx, "SELECT erased FROM events WHERE id = ?", id).Scan(&erased)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return erased, err
}

func refusePurged(ctx context.Context, tx *trans, visit string) error {
	var n int
	if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM purges WHERE visit = ?", visit).Scan(&n); err != nil {
		return err
	}
	if n > 0 {
		return fmt.Errorf("visit %s: %w", visit, ErrPurged)
	}
	return nil
}
