package visit

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var ctx = context.Background()

func openTemp(t testing.TB) (*SQLite, string) {
	path := filepath.Join(t.TempDir(), "data", "visits.db")
	s, err := Open(path)
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	return s, path
}

// stores are all that keep events; one suite runs on each.
func stores(t *testing.T, f func(t *testing.T, s Store)) {
	t.Run("file", func(t *testing.T) { s, _ := openTemp(t); f(t, s) })
	t.Run("office", func(t *testing.T) { f(t, openOffice(t)) })
	t.Run("memory", func(t *testing.T) {
		s, err := OpenMemory()
		require.NoError(t, err)
		defer s.Close()
		f(t, s)
	})
}

func TestStoreGivesBackWhatItTook(t *testing.T) {
	stores(t, func(t *testing.T, s Store) {
		want := scripted(t, "v1")
		for _, e := range want {
			require.NoError(t, s.Append(ctx, e))
		}
		got, err := s.Events(ctx, "v1")
		require.NoError(t, err)
		assert.Equal(t, want, got)
		none, err := s.Events(ctx, "v2")
		require.NoError(t, err)
		assert.Empty(t, none)
	})
}

func TestStoreListAgreesWithTheFold(t *testing.T) {
	stores(t, func(t *testing.T, s Store) {
		es := scripted(t, "v1")
		n := int64(len(es))
		es = append(es, event(t, "v1", n+1, ReopenedBody{}), event(t, "v1", n+2, CorrectionBody{Field: "asset", Value: "HT-9"}))
		for i, e := range es {
			require.NoError(t, s.Append(ctx, e))
			v, err := Fold(es[:i+1])
			require.NoError(t, err)
			want := v.Summary()
			want.Number = 1
			got, err := s.Visits(ctx)
			require.NoError(t, err)
			require.Equal(t, []Summary{want}, got, "after event %d", i+1)
		}
	})
}

func TestStoreTakesTheSameEventOnceOnly(t *testing.T) {
	stores(t, func(t *testing.T, s Store) {
		es := scripted(t, "v1")
		require.NoError(t, s.Append(ctx, es...))
		require.NoError(t, s.Append(ctx, es...), "the same again is no error")
		got, err := s.Events(ctx, "v1")
		require.NoError(t, err)
		assert.Len(t, got, len(es))
		list, err := s.Visits(ctx)
		require.NoError(t, err)
		assert.EqualValues(t, len(es), list[0].Events)

		other := event(t, "v1", 3, NoteBody{Text: "me too"})
		other.ID = "another"
		fresh := event(t, "v1", 99, NoteBody{Text: "fresh"})
		require.ErrorIs(t, s.Append(ctx, fresh, other), ErrConflict)
		changed := es[2]
		changed.Body = []byte(`{"id":"no-echo","knowledge":""}`)
		require.ErrorIs(t, s.Append(ctx, changed), ErrConflict, "events are immutable")
		got, err = s.Events(ctx, "v1")
		require.NoError(t, err)
		assert.Equal(t, es, got, "all of an append or none")
	})
}

func TestStoreRefusesWhatCouldNotComeBack(t *testing.T) {
	s, err := OpenMemory()
	require.NoError(t, err)
	defer s.Close()
	good := scripted(t, "v1")[0]
	for name, spoil := range map[string]func(*Event){
		"no id": func(e *Event) { e.ID = "" }, "no visit": func(e *Event) { e.Visit = "" }, "seq 0": func(e *Event) { e.Seq = 0 },
		"no time": func(e *Event) { e.At = e.At.AddDate(-3000, 0, 0) }, "no json": func(e *Event) { e.Body = []byte("{") },
		"bad utf-8": func(e *Event) { e.Body = []byte("\"\xff\"") }, "escape in id": func(e *Event) { e.ID = "a\x1b[2J" },
		"version 0": func(e *Event) { e.V = 0 }, "no kind": func(e *Event) { e.Kind = "" },
	} {
		e := good
		spoil(&e)
		assert.Error(t, s.Append(ctx, e), name)
	}
}

func TestStoreListIsNewestFirstAndFindsByNumberOrId(t *testing.T) {
	stores(t, func(t *testing.T, s Store) {
		ids := []string{"abcd1111-0000", "abcd2222-0000", "12345678-0000"}
		for i, id := range ids {
			e := event(t, id, 1, BegunBody{Site: id})
			e.At = begun.AddDate(0, 0, i)
			require.NoError(t, s.Append(ctx, e))
		}
		list, err := s.Visits(ctx)
		require.NoError(t, err)
		require.Len(t, list, 3)
		assert.Equal(t, "12345678-0000", list[0].ID)
		assert.EqualValues(t, 3, list[0].Number)
		for ref, want := range map[string]string{"1": ids[0], " 2 ": ids[1], "abcd1": ids[0], "ABCD2": ids[1], "1234": ids[2]} {
			got, err := s.Find(ctx, ref)
			require.NoError(t, err, ref)
			assert.Equal(t, want, got, ref)
		}
		for _, ref := range []string{"", "abcd", "9", "abc", "'; drop table visits --", "%"} {
			_, err := s.Find(ctx, ref)
			assert.Error(t, err, ref)
		}
		_, err = s.Find(ctx, "ffff")
		assert.ErrorIs(t, err, ErrNoVisit)
	})
}

func TestStoreListsAnyText(t *testing.T) {
	stores(t, func(t *testing.T, s Store) {
		bad := "\x00a\x1b'\"; DROP TABLE visits; --" + strings.Repeat("é", 5000)
		require.NoError(t, s.Append(ctx, event(t, "v1", 1, BegunBody{Site: bad, Asset: bad})))
		list, err := s.Visits(ctx)
		require.NoError(t, err)
		require.Len(t, list, 1)
		assert.True(t, utf8.ValidString(list[0].Site))
		assert.True(t, strings.HasPrefix(list[0].Site, "a\x1b'"))
		assert.LessOrEqual(t, len(list[0].Site), maxListed)
		got, err := s.Events(ctx, "v1")
		require.NoError(t, err)
		v, err := Fold(got)
		require.NoError(t, err)
		assert.Equal(t, bad, v.Site, "the event keeps all of it")
	})
}

func TestStoreFilesAreForTheUserAlone(t *testing.T) {
	s, path := openTemp(t)
	require.NoError(t, s.Append(ctx, scripted(t, "v1")...))
	dir, err := os.Stat(filepath.Dir(path))
	require.NoError(t, err)
	assert.EqualValues(t, 0o700, dir.Mode().Perm())
	for _, f := range []string{path, path + "-wal", path + "-shm"} {
		info, err := os.Stat(f)
		require.NoError(t, err)
		assert.EqualValues(t, 0o600, info.Mode().Perm(), f)
	}
}

func TestStoreSyncsEveryCommit(t *testing.T) {
	s, _ := openTemp(t)
	for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "busy_timeout": "5000"} {
		var got string
		require.NoError(t, s.db.QueryRow("PRAGMA "+pragma).Scan(&got))
		assert.Equal(t, want, got, pragma)
	}
}

func TestStoreOpensAgain(t *testing.T) {
	s, path := openTemp(t)
	es := scripted(t, "v1")
	require.NoError(t, s.Append(ctx, es...))
	require.NoError(t, s.Close())
	again, err := Open(path)
	require.NoError(t, err)
	defer again.Close()
	got, err := again.Events(ctx, "v1")
	require.NoError(t, err)
	assert.Equal(t, es, got)
}

func TestStorePathMayHoldAnyCharacter(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a b?c#d%41é", "visits.db")
	s, err := Open(path)
	require.NoError(t, err)
	defer s.Close()
	_, err = os.Stat(path)
	assert.NoError(t, err)
	assert.NoError(t, s.Append(ctx, scripted(t, "v1")...))
	assert.FileExists(t, path+"-wal")
}

func TestManyProgramsOpenANewStoreAtOnce(t *testing.T) {
	for range 3 {
		path := filepath.Join(t.TempDir(), "new", "visits.db")
		errs := make(chan error, 8)
		for i := range 8 {
			go func() {
				s, err := Open(path)
				if err == nil {
					err = s.Append(ctx, event(t, fmt.Sprintf("v%d", i), 1, NoteBody{Text: "x"}))
					err = errors.Join(err, s.Close())
				}
				errs <- err
			}()
		}
		for range 8 {
			require.NoError(t, <-errs)
		}
	}
}
