package visit

import (
	"context"
	"fmt"
)

// forwardBatch is how many events are sent to the office at once.
const forwardBatch = 500

// Forward sends the office what it does not have yet, in the order in which it was stored here, and
// remembers how far it came: an office that is down or slow costs a visit nothing, the events wait
// here. What was sent already is sent again at most after a crash, and is then known there.
func (s *SQLite) Forward(ctx context.Context, name string, office Store) (sent int, err error) {
	for {
		n, err := s.forwardSome(ctx, name, office)
		sent += n
		if err != nil {
			return sent, fmt.Errorf("sending visits to the office %s: %w (%d were sent, the rest waits here and is sent next time)", name, err, sent)
		}
		if n == 0 {
			return sent, nil
		}
	}
}

func (s *SQLite) forwardSome(ctx context.Context, name string, office Store) (int, error) {
	var after, last int64
	err := s.db.QueryRowContext(ctx, "SELECT coalesce(max(sent), 0) FROM offices WHERE name = ?", name).Scan(&after)
	if err != nil {
		return 0, storeError("reading", s.path, err)
	}
	err = s.db.QueryRowContext(ctx, "SELECT coalesce(max(n), 0) FROM (SELECT n FROM events WHERE n > ? ORDER BY n LIMIT ?)", after, forwardBatch).Scan(&last)
	if err != nil {
		return 0, storeError("reading", s.path, err)
	}
	var batch []Event
	err = scanEvents(ctx, s.db, func(e Event) { batch = append(batch, e) }, "WHERE n > ? AND n <= ? ORDER BY n", after, last)
	if err != nil {
		return 0, storeError("reading", s.path, err)
	}
	if len(batch) == 0 {
		return 0, nil
	}
	in := importer{ctx: ctx, to: office}
	for i := range batch {
		if err := in.take(bundleLine{Event: &batch[i]}); err != nil {
			return 0, err
		}
	}
	if err := in.flush(); err != nil {
		return 0, err
	}
	err = s.write(ctx, func(tx *trans) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO offices (name, sent) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET sent = excluded.sent", name, last)
		return err
	})
	if err != nil {
		return 0, storeError("writing to", s.path, err)
	}
	return len(batch), nil
}

// Unsent is how many events an office does not have yet.
func (s *SQLite) Unsent(ctx context.Context, name string) (n int64, err error) {
	err = s.db.QueryRowContext(ctx, "SELECT count(*) FROM events WHERE n > (SELECT coalesce(max(sent), 0) FROM offices WHERE name = ?)", name).Scan(&n)
	if err != nil {
		return 0, storeError("reading", s.path, err)
	}
	return n, nil
}
