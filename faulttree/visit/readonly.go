package visit

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
)

// OpenRead opens a store to read only, also from a disk or folder that may not be written: the file
// and its log are copied first, since reading a log needs a place to write. Nothing is created where
// there is no store.
func OpenRead(path string) (Store, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, storeError("opening", path, err)
	}
	s, err := Open(path)
	if err == nil {
		return s, nil
	}
	copied, cerr := openCopy(path)
	if cerr != nil {
		return nil, errors.Join(err, cerr)
	}
	return copied, nil
}

// copyStore is a store that was copied to be read.
type copyStore struct {
	*SQLite
	folder string
}

func openCopy(path string) (Store, error) {
	folder, err := os.MkdirTemp("", "tankhand-read-")
	if err != nil {
		return nil, err
	}
	target := filepath.Join(folder, "visits.db")
	err = copyFile(path, target)
	if werr := copyFile(path+"-wal", target+"-wal"); werr != nil && !errors.Is(werr, fs.ErrNotExist) {
		err = errors.Join(err, werr)
	}
	var s *SQLite
	if err == nil {
		s, err = Open(target)
	}
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(folder))
	}
	s.path = path
	return copyStore{s, folder}, nil
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// Append refuses: what it wrote would be lost with the copy.
func (c copyStore) Append(context.Context, ...Event) error {
	return fmt.Errorf("writing to the visit store %s: it was opened to read only%s", c.path, codeAdvice(codeReadOnly, ""))
}

// Close closes the store and deletes the copy.
func (c copyStore) Close() error { return errors.Join(c.SQLite.Close(), os.RemoveAll(c.folder)) }

// Salvage reads what can be read of a damaged store, from both ends, and writes nothing. Damage is
// nil when everything could be read.
func Salvage(ctx context.Context, path string) (events []Event, damage error) {
	s, err := openDSN(path, dsn(path, "query_only(1)"))
	if err != nil {
		return nil, err
	}
	defer s.Close()
	found := map[string]Event{}
	for _, order := range []string{"n", "n DESC"} {
		err := s.eachEvent(ctx, order, func(e Event) { found[e.ID] = e })
		if err == nil {
			damage = nil
			break
		}
		damage = storeError("reading", path, err)
	}
	for _, e := range found {
		if e.valid() == nil {
			events = append(events, e)
		}
	}
	sort.Slice(events, func(i, j int) bool {
		a, b := &events[i], &events[j]
		return a.Visit < b.Visit || a.Visit == b.Visit && a.Seq < b.Seq
	})
	return events, damage
}
