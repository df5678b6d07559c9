package visit

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// sqlStore is what the stores that speak SQL share.
type sqlStore struct {
	db   handle
	path string // as people know it
	// erase runs a change and then makes the store forget what was there before.
	erase func(ctx context.Context, f func(*trans) error) error
}

// handle is a database; numbered tells that its placeholders are $1, $2 instead of question marks.
type handle struct {
	*sql.DB
	numbered bool
}

// trans is a transaction of a handle.
type trans struct {
	*sql.Tx
	numbered bool
}

// placed numbers the placeholders. No statement of ours has a question mark inside a text.
func placed(query string, numbered bool) string {
	if !numbered {
		return query
	}
	var b strings.Builder
	n := 0
	for _, r := range query {
		if r != '?' {
			b.WriteRune(r)
			continue
		}
		n++
		b.WriteString("$" + strconv.Itoa(n))
	}
	return b.String()
}

func (h handle) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	return h.DB.QueryContext(ctx, placed(query, h.numbered), args...)
}

func (t *trans) ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error) {
	return t.Tx.ExecContext(ctx, placed(query, t.numbered), args...)
}

func (t *trans) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	return t.Tx.QueryContext(ctx, placed(query, t.numbered), args...)
}

func (t *trans) QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row {
	return t.Tx.QueryRowContext(ctx, placed(query, t.numbered), args...)
}

// write runs f in a transaction that has the write lock from its start.
func (s *sqlStore) write(ctx context.Context, f func(*trans) error) error {
	raw, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	tx := &trans{Tx: raw, numbered: s.db.numbered}
	err = s.alone(ctx, tx)
	if err == nil {
		err = f(tx)
	}
	if err != nil {
		return errors.Join(err, rolledBack(tx))
	}
	return tx.Commit()
}

// alone waits until no other program writes; SQLite did so when the transaction began.
func (s *sqlStore) alone(ctx context.Context, tx *trans) error {
	if !s.db.numbered {
		return nil
	}
	_, err := tx.ExecContext(ctx, "SELECT pg_advisory_xact_lock(?)", applicationID)
	return err
}

func rolledBack(tx *trans) error {
	if err := tx.Rollback(); !errors.Is(err, sql.ErrTxDone) {
		return err
	}
	return nil
}

// Append stores events, all or none, and returns when they are on disk. An event that is there
// already, the same in every part, is passed over; a sequence number that another event holds gives
// ErrConflict.
func (s *sqlStore) Append(ctx context.Context, events ...Event) error {
	for i := range events {
		if err := events[i].valid(); err != nil {
			return fmt.Errorf("storing event %d of %d: %w", i+1, len(events), err)
		}
	}
	err := s.write(ctx, func(tx *trans) error {
		_, err := appendAll(ctx, tx, events)
		return err
	})
	if err != nil {
		return storeError("writing to", s.path, err)
	}
	return nil
}

func appendAll(ctx context.Context, tx *trans, events []Event) (added int, err error) {
	touched := map[string]*touch{}
	var order []string // a map's order would number new visits by chance
	for _, e := range events {
		e.Body = compact(e.Body)
		isNew, err := insertEvent(ctx, tx, e)
		if err != nil {
			return 0, err
		}
		if !isNew {
			continue
		}
		added++
		t := touched[e.Visit]
		if t == nil {
			if err := refusePurged(ctx, tx, e.Visit); err != nil {
				return 0, err
			}
			t = &touch{}
			touched[e.Visit] = t
			order = append(order, e.Visit)
		}
		t.add(e)
	}
	for _, id := range order {
		if err := touched[id].update(ctx, tx, id); err != nil {
			return 0, err
		}
	}
	return added, nil
}

func insertEvent(ctx context.Context, tx *trans, e Event) (isNew bool, err error) {
	r, err := tx.ExecContext(ctx, "INSERT INTO events (id, visit, seq, at, kind, v, body) VALUES (?,?,?,?,?,?,?) ON CONFLICT DO NOTHING",
		e.ID, e.Visit, e.Seq, e.At.UnixNano(), string(e.Kind), e.V, string(e.Body))
	if err != nil {
		return false, err
	}
	if n, err := r.RowsAffected(); err != nil || n == 1 {
		return n == 1, err
	}
	if erased, err := isErased(ctx, tx, e.ID); err != nil || erased {
		return false, err
	}
	there, err := queryEvents(ctx, tx, "WHERE id = ? OR (visit = ? AND seq = ?)", e.ID, e.Visit, e.Seq)
	if err != nil {
		return false, err
	}
	if len(there) == 1 && there[0].same(e) {
		return false, nil
	}
	return false, fmt.Errorf("event %s as number %d of visit %s: %w", e.ID, e.Seq, e.Visit, ErrConflict)
}

type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

const eventColumns = "id, visit, seq, at, kind, v, body"

func queryEvents(ctx context.Context, q querier, where string, args ...any) (out []Event, err error) {
	err = scanEvents(ctx, q, func(e Event) { out = append(out, e) }, where+" ORDER BY visit, seq", args...)
	return out, err
}

func scanEvents(ctx context.Context, q querier, f func(Event), tail string, args ...any) error {
	rows, err := q.QueryContext(ctx, "SELECT "+eventColumns+" FROM events "+tail, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var e Event
		var at int64
		var body string
		if err := rows.Scan(&e.ID, &e.Visit, &e.Seq, &at, &e.Kind, &e.V, &body); err != nil {
			return err
		}
		e.At, e.Body = time.Unix(0, at).UTC(), json.RawMessage(body)
		f(e)
	}
	return rows.Err()
}

// Events returns the events of a visit in order; none for a visit that is not there.
func (s *sqlStore) Events(ctx context.Context, visit string) ([]Event, error) {
	out, err := queryEvents(ctx, s.db, "WHERE visit = ?", visit)
	if err != nil {
		return nil, storeError("reading", s.path, err)
	}
	return out, nil
}

// EventsOf are all events of one kind, of whatever visit.
func (s *sqlStore) EventsOf(ctx context.Context, kind Kind) ([]Event, error) {
	out, err := queryEvents(ctx, s.db, "WHERE kind = ?", string(kind))
	if err != nil {
		return nil, storeError("reading", s.path, err)
	}
	return out, nil
}

const summaryColumns = "number, id, begun, last, site, asset, complaint, outcome, cause, events"

// Visits lists visits, newest first.
func (s *sqlStore) Visits(ctx context.Context) ([]Summary, error) {
	return s.summaries(ctx, "ORDER BY begun DESC, number DESC")
}

func (s *sqlStore) summaries(ctx context.Context, tail string, args ...any) ([]Summary, error) {
	rows, err := s.db.QueryContext(ctx, "SELECT "+summaryColumns+" FROM visits "+tail, args...)
	if err != nil {
		return nil, storeError("reading", s.path, err)
	}
	defer rows.Close()
	var out []Summary
	for rows.Next() {
		var m Summary
		var begun, last int64
		if err := rows.Scan(&m.Number, &m.ID, &begun, &last, &m.Site, &m.Asset, &m.Complaint, &m.Outcome, &m.Cause, &m.Events); err != nil {
			return nil, storeError("reading", s.path, err)
		}
		m.Begun, m.Last = time.Unix(0, begun).UTC(), time.Unix(0, last).UTC()
		out = append(out, m)
	}
	if err := rows.Err(); err != nil {
		return nil, storeError("reading", s.path, err)
	}
	return out, nil
}

// Find turns a number of the list, or the beginning of an id (four characters or more), into an id.
func (s *sqlStore) Find(ctx context.Context, ref string) (string, error) {
	all, err := s.Visits(ctx)
	if err != nil {
		return "", err
	}
	return find(all, strings.TrimSpace(ref))
}

// Close closes the store.
func (s *sqlStore) Close() error { return s.db.Close() }
