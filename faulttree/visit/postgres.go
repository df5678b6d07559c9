package visit

import (
	"context"
	"database/sql"
	"fmt"
)

// Postgres is a Store on a PostgreSQL server, where the bundles of many technicians come together.
// It knows no driver: who opens it brings the database.
type Postgres struct{ sqlStore }

// officeMigrations are those of the store on a server; see migrations.
var officeMigrations = []string{
	`CREATE TABLE events (
	   n      BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	   id     TEXT NOT NULL UNIQUE,
	   visit  TEXT NOT NULL,
	   seq    BIGINT NOT NULL CHECK (seq > 0),
	   at     BIGINT NOT NULL,
	   kind   TEXT NOT NULL,
	   v      INTEGER NOT NULL,
	   body   TEXT NOT NULL,
	   erased INTEGER NOT NULL DEFAULT 0,
	   UNIQUE (visit, seq));
	 CREATE TABLE visits (
	   number BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	   id     TEXT NOT NULL UNIQUE,
	   begun  BIGINT NOT NULL,
	   last   BIGINT NOT NULL,
	   events BIGINT NOT NULL,
	   site TEXT NOT NULL, asset TEXT NOT NULL, complaint TEXT NOT NULL, outcome TEXT NOT NULL, cause TEXT NOT NULL);
	 CREATE INDEX visits_begun ON visits (begun);
	 CREATE INDEX visits_asset ON visits (site, asset, begun);
	 CREATE INDEX events_outcome ON events (visit, seq) WHERE kind = 'outcome';
	 CREATE TABLE purges (
	   n      BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	   at     BIGINT NOT NULL,
	   by     TEXT NOT NULL,
	   reason TEXT NOT NULL,
	   visit  TEXT UNIQUE,
	   events BIGINT NOT NULL)`,
}

// OpenPostgres takes a database over as a store and brings it to today's schema. name is what people
// call it, without a password.
func OpenPostgres(ctx context.Context, db *sql.DB, name string) (*Postgres, error) {
	s := &Postgres{sqlStore{db: handle{DB: db, numbered: true}, path: name}}
	s.erase = s.eraseTables
	if err := s.write(ctx, func(tx *trans) error { return migrateOffice(ctx, tx) }); err != nil {
		return nil, fmt.Errorf("opening the visit store %s: %w (is the server up, and may you use it? visits go on without it)", name, err)
	}
	return s, nil
}

func migrateOffice(ctx context.Context, tx *trans) error {
	if _, err := tx.ExecContext(ctx, "CREATE TABLE IF NOT EXISTS tankhand_schema (version INTEGER NOT NULL)"); err != nil {
		return err
	}
	var version int
	if err := tx.QueryRowContext(ctx, "SELECT coalesce(max(version), 0) FROM tankhand_schema").Scan(&version); err != nil {
		return err
	}
	if version > len(officeMigrations) {
		return fmt.Errorf("%w (its schema has version %d, this program knows %d)", errNewer, version, len(officeMigrations))
	}
	for ; version < len(officeMigrations); version++ {
		if _, err := tx.ExecContext(ctx, officeMigrations[version]); err != nil {
			return fmt.Errorf("bringing the store from version %d to %d: %w", version, version+1, err)
		}
		if _, err := tx.ExecContext(ctx, "INSERT INTO tankhand_schema (version) VALUES (?)", version+1); err != nil {
			return err
		}
	}
	return nil
}

// eraseTables runs f and then writes the tables anew, so that no old row stays in their files. The
// server's own logs and backups are its keeper's to look after.
func (s *Postgres) eraseTables(ctx context.Context, f func(*trans) error) error {
	if err := s.write(ctx, f); err != nil {
		return err
	}
	for _, table := range []string{"events", "visits"} {
		if _, err := s.db.ExecContext(ctx, "VACUUM FULL "+table); err != nil {
			return fmt.Errorf("erased, but the old rows of %s still stand in the server's files: %w (have its keeper run VACUUM FULL)", table, err)
		}
	}
	return nil
}
