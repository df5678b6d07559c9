package visit

import (
	"bytes"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestOpenSaysWhatIsWrongAndWhatToDo(t *testing.T) {
	dir := t.TempDir()
	write := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, data, 0o600))
		return path
	}
	foreign := filepath.Join(dir, "foreign.db")
	db, err := sql.Open("sqlite", foreign)
	require.NoError(t, err)
	_, err = db.Exec("CREATE TABLE tomatoes (n INTEGER)")
	require.NoError(t, err)
	require.NoError(t, db.Close())
	newer := filepath.Join(dir, "newer.db")
	s, err := Open(newer)
	require.NoError(t, err)
	_, err = s.db.Exec("PRAGMA user_version=99")
	require.NoError(t, err)
	require.NoError(t, s.Close())
	for path, want := range map[string]string{
		write("garbage.db", bytes.Repeat([]byte("no database at all. "), 500)): "keep the damaged file",
		foreign:                                "not a visit store",
		newer:                                  "update this program",
		dir:                                    "give another",
		filepath.Join(write("f", nil), "x.db"): "give another",
	} {
		before, _ := os.ReadFile(path)
		_, err := Open(path)
		require.ErrorContains(t, err, want)
		assert.ErrorContains(t, err, path)
		after, _ := os.ReadFile(path)
		assert.Equal(t, before, after, "nothing of %s was changed", path)
	}
	empty, err := Open(write("empty.db", nil))
	require.NoError(t, err, "an empty file is a store not begun: a power cut may leave one")
	require.NoError(t, empty.Close())
}

func TestAStoreThatMayNotBeWrittenIsRead(t *testing.T) {
	s, path := openTemp(t)
	es := scripted(t, "v1")
	require.NoError(t, s.Append(ctx, es...)) // still in the log: the store is open
	r, err := openCopy(path)
	require.NoError(t, err)
	got, err := r.Events(ctx, "v1")
	require.NoError(t, err)
	assert.Equal(t, es, got)
	assert.ErrorContains(t, r.Append(ctx, es...), "may not be written")
	folder := r.(copyStore).folder
	require.NoError(t, r.Close())
	assert.NoDirExists(t, folder)
	_, err = OpenRead(filepath.Join(t.TempDir(), "none", "visits.db"))
	require.Error(t, err)
}

func TestWritingToAReadOnlyFileIsTold(t *testing.T) {
	s, path := openTemp(t)
	_, err := s.db.Exec("PRAGMA query_only=1") // result code SQLITE_READONLY, as a read-only disk gives
	require.NoError(t, err)
	err = s.Append(ctx, scripted(t, "v1")...)
	require.ErrorContains(t, err, "may not be written")
	require.ErrorContains(t, err, path)
}

func TestDamageInTheMiddleIsToldAndTheRestSalvaged(t *testing.T) {
	s, path := openTemp(t)
	total := 0
	for i := range 60 {
		es := scripted(t, fmt.Sprintf("v%02d", i))
		total += len(es)
		require.NoError(t, s.Append(ctx, es...))
	}
	require.NoError(t, s.Close())
	all, err := Salvage(ctx, path)
	require.NoError(t, err)
	require.Len(t, all, total)
	raw, err := os.ReadFile(path)
	require.NoError(t, err)
	const pageSize = 4096
	middle := len(raw) / pageSize / 2 * pageSize
	for i := range 2 * pageSize {
		raw[middle+i] = 0xa5
	}
	require.NoError(t, os.WriteFile(path, raw, 0o600))
	damaged, err := Open(path)
	if err == nil {
		require.ErrorContains(t, damaged.Check(ctx), "keep the damaged file")
		require.NoError(t, damaged.Close())
	}
	some, err := Salvage(ctx, path)
	require.ErrorContains(t, err, "keep the damaged file")
	assert.Greater(t, len(some), total/2)
	assert.Less(t, len(some), total)
	for _, e := range some {
		_, err := Decode(e)
		require.NoError(t, err)
	}
}

// Every schema that ever was, with data in it, becomes today's and keeps the data.
func TestMigrationFromEveryOlderVersion(t *testing.T) {
	es := scripted(t, "v1")
	for from := 0; from <= len(migrations); from++ {
		path := filepath.Join(t.TempDir(), "old.db")
		writeOld(t, path, from, es)
		for range 2 { // the second opening finds nothing to do
			s, err := Open(path)
			require.NoError(t, err, "from version %d", from)
			var version int
			require.NoError(t, s.db.QueryRow("PRAGMA user_version").Scan(&version))
			assert.Equal(t, len(migrations), version)
			if from > 0 {
				got, err := s.Events(ctx, "v1")
				require.NoError(t, err)
				assert.Equal(t, es, got, "from version %d", from)
				require.NoError(t, s.Append(ctx, es...))
			}
			require.NoError(t, s.Append(ctx, scripted(t, "v2")...))
			require.NoError(t, s.Check(ctx))
			require.NoError(t, s.Close())
		}
	}
}

// writeOld makes a store of an older version with the statements that such a program used.
func writeOld(t *testing.T, path string, version int, es []Event) {
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	defer db.Close()
	for _, m := range migrations[:version] {
		_, err := db.Exec(m)
		require.NoError(t, err)
	}
	if version == 0 {
		return
	}
	_, err = db.Exec(fmt.Sprintf("PRAGMA application_id=%d; PRAGMA user_version=%d", applicationID, version))
	require.NoError(t, err)
	for _, e := range es {
		_, err := db.Exec("INSERT INTO events (id, visit, seq, at, kind, v, body) VALUES (?,?,?,?,?,?,?)", e.ID, e.Visit, e.Seq, e.At.UnixNano(), string(e.Kind), e.V, string(e.Body))
		require.NoError(t, err)
	}
	_, err = db.Exec("INSERT INTO visits (id, begun, last, events, site, asset, complaint, outcome, cause) VALUES ('v1', 1, 2, ?, '', '', '', '', '')", len(es))
	require.NoError(t, err)
}
