package visit

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// flaky is a store whose disk can be pulled out; done lets a write through before it errs, as a
// disk that fails after the commit.
type flaky struct {
	Store
	broken *error
	done   bool
}

func (f flaky) Append(ctx context.Context, es ...Event) error {
	if *f.broken != nil {
		if f.done {
			return errors.Join(f.Store.Append(ctx, es...), *f.broken)
		}
		return *f.broken
	}
	return f.Store.Append(ctx, es...)
}

func (f flaky) Close() error { return nil }

func TestFallbackGoesOnAndCatchesUp(t *testing.T) {
	for _, done := range []bool{false, true} {
		s, _ := openTemp(t)
		var broken error
		f := NewFallback(func() (Store, error) { return flaky{s, &broken, done}, broken })
		es := scripted(t, "v1")
		require.NoError(t, f.Append(ctx, es[:3]...))
		assert.Empty(t, f.State())
		broken = errors.New("disk full")
		require.NoError(t, f.Append(ctx, es[3]))
		require.NoError(t, f.Append(ctx, es[4], es[5]))
		assert.Contains(t, f.State(), "3 events in memory only")
		assert.Contains(t, f.State(), "disk full")
		require.Error(t, f.CatchUp(ctx))
		broken = nil
		require.NoError(t, f.Append(ctx, es[6:]...), "the next event takes the waiting ones along")
		assert.Empty(t, f.State())
		assert.Empty(t, f.Pending())
		got, err := s.Events(ctx, "v1")
		require.NoError(t, err)
		assert.Equal(t, es, got, "all, in order, none twice (write had come through: %v)", done)
		require.NoError(t, f.Close())
	}
}

func TestFallbackStartsWithoutADisk(t *testing.T) {
	s, _ := openTemp(t)
	broken := errors.New("read-only")
	f := NewFallback(func() (Store, error) { return flaky{s, &broken, false}, broken })
	assert.Contains(t, f.State(), "read-only")
	es := scripted(t, "v1")
	require.NoError(t, f.Append(ctx, es...))
	got, err := f.Events(ctx, "v1")
	require.NoError(t, err)
	assert.Equal(t, es, got)
	list, err := f.Visits(ctx)
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, "HT-2", list[0].Asset)
	_, err = f.Events(ctx, "v2")
	require.Error(t, err, "what may be on the disk is not called missing")
	require.ErrorContains(t, f.Close(), "13 events are not on disk")
	assert.Len(t, f.Pending(), 13)
	var rescued bytes.Buffer
	require.NoError(t, f.Rescue(&rescued))
	other, _ := openTemp(t)
	in, err := Import(ctx, bytes.NewReader(rescued.Bytes()), other, nil)
	require.NoError(t, err)
	assert.Equal(t, 13, in.New)
	broken = nil
	require.NoError(t, f.CatchUp(ctx))
	got, err = s.Events(ctx, "v1")
	require.NoError(t, err)
	assert.Equal(t, es, got)
}

func TestFallbackRefusesConflictsAlsoInMemory(t *testing.T) {
	broken := errors.New("gone")
	f := NewFallback(func() (Store, error) { return nil, broken })
	es := scripted(t, "v1")
	require.NoError(t, f.Append(ctx, es...))
	other := es[2]
	other.ID = "another"
	assert.ErrorIs(t, f.Append(ctx, other), ErrConflict)
	assert.Error(t, f.Append(ctx, Event{}))
}

// A store that is full by SQLite's own limit: the same result code as a full disk (SQLITE_FULL, 13).
func TestFullDiskIsToldAndSurvived(t *testing.T) {
	s, path := openTemp(t)
	es := scripted(t, "v1")
	require.NoError(t, s.Append(ctx, es[0]))
	limit := func(pages string) {
		_, err := s.db.Exec("PRAGMA max_page_count=" + pages)
		require.NoError(t, err)
	}
	limit("1")
	big := event(t, "v1", 2, NoteBody{Text: string(make([]byte, 50000))})
	err := s.Append(ctx, big)
	require.ErrorContains(t, err, "the disk is full: make room")
	require.ErrorContains(t, err, path)
	f := NewFallback(func() (Store, error) { return struct{ notClosed }{notClosed{s}}, nil })
	require.NoError(t, f.Append(ctx, big))
	assert.Contains(t, f.State(), "make room")
	limit("100000")
	require.NoError(t, f.CatchUp(ctx))
	got, err := s.Events(ctx, "v1")
	require.NoError(t, err)
	assert.Len(t, got, 2)
}

type notClosed struct{ Store }

func (notClosed) Close() error { return nil }

func TestAStoreLockedByAnotherProgramIsWaitedForAndTold(t *testing.T) {
	s, path := openTemp(t)
	_, err := s.db.Exec("PRAGMA busy_timeout=50")
	require.NoError(t, err)
	other, err := sql.Open("sqlite", "file:"+filepath.ToSlash(path))
	require.NoError(t, err)
	defer other.Close()
	other.SetMaxOpenConns(1)
	_, err = other.Exec("BEGIN IMMEDIATE")
	require.NoError(t, err)
	err = s.Append(ctx, scripted(t, "v1")...)
	require.ErrorContains(t, err, "another program is writing to it")
	_, err = other.Exec("COMMIT")
	require.NoError(t, err)
	require.NoError(t, s.Append(ctx, scripted(t, "v1")...))
}

func TestTwoProgramsWriteAtOnce(t *testing.T) {
	a, path := openTemp(t)
	b, err := Open(path)
	require.NoError(t, err)
	defer b.Close()
	done := make(chan error, 2)
	for i, s := range []*SQLite{a, b} {
		go func() {
			for _, e := range scripted(t, []string{"v1", "v2"}[i]) {
				if err := s.Append(ctx, e); err != nil {
					done <- err
					return
				}
			}
			done <- nil
		}()
	}
	require.NoError(t, <-done)
	require.NoError(t, <-done)
	list, err := a.Visits(ctx)
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.EqualValues(t, 13, list[0].Events)
	assert.EqualValues(t, 13, list[1].Events)
}
