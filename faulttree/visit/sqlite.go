package visit

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	_ "modernc.org/sqlite" // the only place that knows the driver, so that another can replace it
)

// SQLite is a Store in one file.
type SQLite struct{ sqlStore }

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
	s := &SQLite{sqlStore{db: handle{DB: db}, path: path}}
	s.erase = s.eraseFile
	if err := patiently(func() error { return s.migrate(context.Background()) }); err != nil {
		_ = db.Close()
		return nil, storeError("opening", path, err)
	}
	return s, nil
}

// patiently tries again while another program has the store: where one turns to the write-ahead log, or is the last
// to leave it, the library refuses at once instead of waiting.
func patiently(do func() error) error {
	for end := time.Now().Add(busyWait); ; time.Sleep(20 * time.Millisecond) {
		err := do()
		if !isBusy(err) || time.Now().After(end) {
			return err
		}
	}
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
	return s.write(ctx, func(tx *trans) error { return migrateFrom(ctx, tx, len(migrations)) })
}

// migrateFrom runs inside the transaction and looks at the version again: two programs may have
// opened the same old store at once.
func migrateFrom(ctx context.Context, tx *trans, to int) error {
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

// eachEvent hands over all events in the order of the table itself, no index asked.
func (s *SQLite) eachEvent(ctx context.Context, order string, f func(Event)) error {
	return scanEvents(ctx, s.db, f, "NOT INDEXED ORDER BY "+order)
}
