package visit

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	_ "modernc.org/sqlite" // the only place that knows the driver, so that another can replace it
)

// SQLite is a Store in one file.
type SQLite struct {
	db   *sql.DB
	path string
}

// busyWait is how long to wait for another program that writes to the same store.
const busyWait = 5 * time.Second

// Open opens the store in a file, and makes file and folder where they are missing, for the user
// alone. Errors say what to do.
func Open(path string) (*SQLite, error) {
	if err := prepareFile(path); err != nil {
		return nil, storeError("opening", path, err)
	}
	// With synchronous FULL a commit that returned has been synced; fullfsync counts on macOS only.
	s, err := openDSN(path, dsn(path, "synchronous(FULL)", "fullfsync(1)"))
	if err != nil {
		return nil, err
	}
	if err := makePrivate(path); err != nil {
		return nil, storeError("opening", path, errors.Join(err, s.Close()))
	}
	return s, nil
}

// OpenMemory opens a store that lasts as long as the program.
func OpenMemory() (*SQLite, error) { return openDSN("memory", "file::memory:?_txlock=immediate") }

func dsn(path string, pragmas ...string) string {
	q := url.Values{"_txlock": {"immediate"}, "_pragma": append([]string{
		fmt.Sprintf("busy_timeout(%d)", busyWait.Milliseconds()), "trusted_schema(0)"}, pragmas...)}
	u := url.URL{Scheme: "file", Opaque: (&url.URL{Path: filepath.ToSlash(path)}).EscapedPath(), RawQuery: q.Encode()}
	return u.String()
}

func openDSN(path, dsn string) (*SQLite, error) {
	db, err := sql.Open("sqlite", dsn)
	if err != nil {
		return nil, storeError("opening", path, err)
	}
	db.SetMaxOpenConns(1) // one writer; a memory store lives in its one connection
	s := &SQLite{db: db, path: path}
	if err := s.migrate(context.Background()); err != nil {
		_ = db.Close()
		return nil, storeError("opening", path, err)
	}
	return s, nil
}

// prepareFile makes the folder (0700) and the file (0600) before the database does: it gives its
// side files the mode of the main file.
func prepareFile(path string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return err
	}
	return f.Close()
}

// makePrivate takes everybody else's rights from a store that is known to be ours.
func makePrivate(path string) error {
	for _, name := range []string{path, path + "-wal", path + "-shm"} {
		info, err := os.Stat(name)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err == nil && info.Mode().Perm()&0o077 != 0 {
			err = os.Chmod(name, 0o600)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// migrate brings the store to today's schema, one transaction for all steps. A file that is not ours
// is left as it is.
func (s *SQLite) migrate(ctx context.Context) error {
	var app, version, tables int
	var journal string
	err := s.db.QueryRowContext(ctx, `SELECT application_id, user_version, journal_mode, (SELECT count(*) FROM sqlite_schema)
		FROM pragma_application_id, pragma_user_version, pragma_journal_mode`).Scan(&app, &version, &journal, &tables)
	switch {
	case err != nil:
		return err
	case app != applicationID && (app != 0 || version != 0 || tables != 0):
		return errForeign
	case version > len(migrations):
		return fmt.Errorf("%w (its schema has version %d, this program knows %d)", errNewer, version, len(migrations))
	}
	if journal != "wal" && journal != "memory" {
		if _, err := s.db.ExecContext(ctx, "PRAGMA journal_mode=WAL"); err != nil {
			return err
		}
	}
	if version == len(migrations) {
		return nil
	}
	return s.write(ctx, func(tx *sql.Tx) error { return migrateFrom(ctx, tx, len(migrations)) })
}

// migrateFrom runs inside the transaction and looks at the version again: two programs may have
// opened the same old store at once.
func migrateFrom(ctx context.Context, tx *sql.Tx, to int) error {
	var version int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	for ; version < to; version++ {
		if _, err := tx.ExecContext(ctx, migrations[version]); err != nil {
			return fmt.Errorf("bringing the store from version %d to %d: %w", version, version+1, err)
		}
	}
	_, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id=%d; PRAGMA user_version=%d", applicationID, to))
	return err
}

// write runs f in a transaction that has the write lock from its start.
func (s *SQLite) write(ctx context.Context, f func(*sql.Tx) error) error {
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	if err := f(tx); err != nil {
		return errors.Join(err, rolledBack(tx))
	}
	return tx.Commit()
}

func rolledBack(tx *sql.Tx) error {
	if err := tx.Rollback(); !errors.Is(err, sql.ErrTxDone) {
		return err
	}
	return nil
}

// Append stores events, all or none, and returns when they are on disk. An event that is there
// already, the same in every part, is passed over; a sequence number that another event holds gives
// ErrConflict.
func (s *SQLite) Append(ctx context.Context, events ...Event) error {
	for i := range events {
		if err := events[i].valid(); err != nil {
			return fmt.Errorf("storing event %d of %d: %w", i+1, len(events), err)
		}
	}
	err := s.write(ctx, func(tx *sql.Tx) error {
		_, err := appendAll(ctx, tx, events)
		return err
	})
	if err != nil {
		return storeError("writing to", s.path, err)
	}
	return nil
}

func appendAll(ctx context.Context, tx *sql.Tx, events []Event) (added int, err error) {
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

func insertEvent(ctx context.Context, tx *sql.Tx, e Event) (isNew bool, err error) {
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

// eachEvent hands over all events in the order of the table itself, no index asked.
func (s *SQLite) eachEvent(ctx context.Context, order string, f func(Event)) error {
	return scanEvents(ctx, s.db, f, "NOT INDEXED ORDER BY "+order)
}

// Events returns the events of a visit in order; none for a visit that is not there.
func (s *SQLite) Events(ctx context.Context, visit string) ([]Event, error) {
	out, err := queryEvents(ctx, s.db, "WHERE visit = ?", visit)
	if err != nil {
		return nil, storeError("reading", s.path, err)
	}
	return out, nil
}

const summaryColumns = "number, id, begun, last, site, asset, complaint, outcome, cause, events"

// Visits lists visits, newest first.
func (s *SQLite) Visits(ctx context.Context) ([]Summary, error) {
	return s.summaries(ctx, "ORDER BY begun DESC, number DESC")
}

func (s *SQLite) summaries(ctx context.Context, tail string, args ...any) ([]Summary, error) {
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
func (s *SQLite) Find(ctx context.Context, ref string) (string, error) {
	all, err := s.Visits(ctx)
	if err != nil {
		return "", err
	}
	return find(all, strings.TrimSpace(ref))
}

// Close closes the store.
func (s *SQLite) Close() error { return s.db.Close() }

// Check reads the whole file and reports damage; it is slow on a large store.
func (s *SQLite) Check(ctx context.Context) error {
	var first string
	err := s.db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&first)
	if err == nil && first != "ok" {
		err = fmt.Errorf("%w: %s", errDamaged, first)
	}
	if err != nil {
		return storeError("checking", s.path, err)
	}
	return nil
}
