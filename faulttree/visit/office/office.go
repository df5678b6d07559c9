// Package office opens the visit store of the office, on a PostgreSQL server. It is apart so that a
// program without an office does not carry the driver.
package office

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"example.org/tankhand/faulttree/visit"
)

// connectWait bounds the opening: a slow office must not hold up a technician.
const connectWait = 5 * time.Second

// Open opens a store by its URL, postgres://user@host/database. The password comes from a password
// file (PGPASSFILE, else ~/.pgpass), never from the URL; the server's certificate is checked unless
// the URL says otherwise by sslmode, or the server is a socket of this machine.
func Open(ctx context.Context, address string) (*visit.Postgres, error) {
	config, name, err := parse(address)
	if err != nil {
		return nil, err
	}
	db := stdlib.OpenDB(*config)
	db.SetMaxOpenConns(4)
	ctx, cancel := context.WithTimeout(ctx, connectWait)
	defer cancel()
	s, err := visit.OpenPostgres(ctx, db, name)
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return s, nil
}

// parse reads the address and returns what may be shown of it.
func parse(address string) (*pgx.ConnConfig, string, error) {
	u, err := url.Parse(address)
	if err != nil || u.Scheme != "postgres" && u.Scheme != "postgresql" {
		return nil, "", errors.New("opening the office's visit store: the address must be postgres://user@host/database")
	}
	if _, has := u.User.Password(); has || u.Query().Has("password") {
		return nil, "", fmt.Errorf("opening the office's visit store %s: no password in the address, where every user of this machine can read it (put it into ~/.pgpass, mode 0600)", u.Host)
	}
	q := u.Query()
	host := u.Hostname() + q.Get("host")
	if !q.Has("sslmode") && !strings.HasPrefix(host, "/") {
		q.Set("sslmode", "verify-full")
		u.RawQuery = q.Encode()
	}
	config, err := pgx.ParseConfig(u.String())
	if err != nil {
		return nil, "", fmt.Errorf("opening the office's visit store %s: %w", u.Host, err)
	}
	return config, fmt.Sprintf("postgres://%s/%s", config.Host, config.Database), nil
}
