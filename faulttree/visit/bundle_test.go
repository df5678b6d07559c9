package visit

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/feed"
)

func bundleOf(t testing.TB, s Store, ids ...string) []byte {
	var b bytes.Buffer
	_, err := Export(ctx, s, &b, ids, nil)
	require.NoError(t, err)
	return b.Bytes()
}

func TestBundleRoundTripIsIdempotent(t *testing.T) {
	from, _ := openTemp(t)
	require.NoError(t, from.Append(ctx, scripted(t, "v1")...))
	odd := event(t, "v2", 1, NoteBody{Text: "a <b> & \u2028 \"é\""})
	odd.Body = append([]byte("  "), odd.Body...)
	require.NoError(t, from.Append(ctx, odd))
	raw := bundleOf(t, from, "v1", "v2")
	stores(t, func(t *testing.T, to Store) {
		got, err := Import(ctx, bytes.NewReader(raw), to, nil)
		require.NoError(t, err)
		assert.Equal(t, Imported{Visits: 2, New: 14}, got)
		got, err = Import(ctx, bytes.NewReader(raw), to, nil)
		require.NoError(t, err)
		assert.Equal(t, Imported{Visits: 2, Known: 14}, got)
		for _, id := range []string{"v1", "v2"} {
			want, err := from.Events(ctx, id)
			require.NoError(t, err)
			have, err := to.Events(ctx, id)
			require.NoError(t, err)
			assert.Equal(t, want, have)
		}
		assert.Equal(t, raw, bundleOf(t, to, "v1", "v2"), "and out again, byte for byte")
	})
	back, err := Import(ctx, bytes.NewReader(raw), from, nil)
	require.NoError(t, err)
	assert.Zero(t, back.New)
}

func TestAVisitCarriedOnInTwoPlacesKeepsBoth(t *testing.T) {
	a, _ := openTemp(t)
	b, _ := openTemp(t)
	es := scripted(t, "v1")
	require.NoError(t, a.Append(ctx, es...))
	_, err := Import(ctx, bytes.NewReader(bundleOf(t, a, "v1")), b, nil)
	require.NoError(t, err)
	ea, eb := event(t, "v1", 14, NoteBody{Text: "from a"}), event(t, "v1", 14, NoteBody{Text: "from b"})
	ea.ID, eb.ID = "a-note", "b-note"
	require.NoError(t, a.Append(ctx, ea))
	require.NoError(t, b.Append(ctx, eb))
	for range 3 {
		_, err := Import(ctx, bytes.NewReader(bundleOf(t, a, "v1")), b, nil)
		require.NoError(t, err)
		_, err = Import(ctx, bytes.NewReader(bundleOf(t, b, "v1")), a, nil)
		require.NoError(t, err)
	}
	for _, s := range []Store{a, b} {
		got, err := s.Events(ctx, "v1")
		require.NoError(t, err)
		require.Len(t, got, len(es)+2)
		v, err := Fold(got)
		require.NoError(t, err)
		assert.Len(t, v.Notes, 3)
	}
}

func TestImportRefusesWhatWasChangedAndAddsNothing(t *testing.T) {
	from, _ := openTemp(t)
	require.NoError(t, from.Append(ctx, scripted(t, "v1")...))
	raw := string(bundleOf(t, from, "v1"))
	lines := strings.SplitAfter(raw, "\n")
	for name, bad := range map[string]string{
		"empty": "", "cut": raw[:len(raw)/2], "last line gone": strings.Join(lines[:len(lines)-2], ""),
		"one letter": strings.Replace(raw, "tomatoes", "potatoes", 1) + "", "word changed": strings.Replace(raw, "clatters", "clutters", 1),
		"line taken out": strings.Join(append(append([]string{}, lines[:3]...), lines[4:]...), ""), "something behind": raw + "{}\n",
		"other schema": strings.Replace(raw, BundleSchema, "tankhand/bundle/9", 1), "no json": "hello\n", "binary": "\x00\xff\n",
	} {
		if bad == raw {
			continue
		}
		to, err := OpenMemory()
		require.NoError(t, err)
		_, err = Import(ctx, strings.NewReader(bad), to, nil)
		require.Error(t, err, name)
		list, err := to.Visits(ctx)
		require.NoError(t, err)
		assert.Empty(t, list, name)
		require.NoError(t, to.Close())
	}
}

func TestCapturesTravelOnlyWhenAsked(t *testing.T) {
	folder, target := t.TempDir(), t.TempDir()
	data := bytes.Repeat([]byte("dist=43.2cm\r\n"), 50_000)
	path := filepath.Join(folder, "c.jsonl")
	require.NoError(t, os.WriteFile(path, append(data, "later bytes"...), 0o600))
	sum := sha256.Sum256(data)
	cite := feed.Citation{Path: path, Length: int64(len(data)), SHA256: hex.EncodeToString(sum[:])}
	gone := feed.Citation{Path: filepath.Join(folder, "gone.jsonl"), Length: 5, SHA256: strings.Repeat("0", 64)}
	s, _ := openTemp(t)
	require.NoError(t, s.Append(ctx, event(t, "v1", 1, FindingsBody{Capture: &cite}), event(t, "v1", 2, FindingsBody{Capture: &gone})))
	assert.NotContains(t, string(bundleOf(t, s, "v1")), `"capture":{"name"`)

	var b bytes.Buffer
	ex, err := Export(ctx, s, &b, []string{"v1"}, func(p string) (io.ReadCloser, error) { return os.Open(p) })
	require.NoError(t, err)
	assert.Equal(t, 1, ex.Captures)
	require.Len(t, ex.Missing, 1)
	assert.Contains(t, ex.Missing[0], "gone.jsonl")
	to, err := OpenMemory()
	require.NoError(t, err)
	defer to.Close()
	for range 2 {
		got, err := Import(ctx, bytes.NewReader(b.Bytes()), to, SaveCaptures(target))
		require.NoError(t, err)
		assert.Equal(t, 1, got.Captures)
	}
	require.NoError(t, os.Remove(path))
	found, err := FindCapture(target, cite)
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(target, "c.jsonl"), found)
	files, err := os.ReadDir(target)
	require.NoError(t, err)
	assert.Len(t, files, 1, "nothing half is left behind")
	removed, err := RemoveCaptures(target, []feed.Citation{cite, gone, {Path: "../../etc/passwd", Length: 1, SHA256: "x"}})
	require.NoError(t, err)
	assert.Equal(t, []string{found}, removed)
}

func TestCaptureNamesOfStrangersStayInTheFolder(t *testing.T) {
	folder := t.TempDir()
	data := []byte("x")
	sum := sha256.Sum256(data)
	for _, name := range []string{"../x", "/etc/x", "a/b", ".hidden", "", "a\x00b", "-rf", strings.Repeat("n", 500)} {
		assert.Error(t, SaveCaptures(folder)(name, hex.EncodeToString(sum[:]), 0, data, true), "%q", name)
	}
	assert.Error(t, SaveCaptures(folder)("ok", strings.Repeat("0", 64), 0, data, true), "wrong hash")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "ok"), []byte("mine"), 0o600))
	require.NoError(t, SaveCaptures(folder)("ok", hex.EncodeToString(sum[:]), 0, data, true))
	mine, err := os.ReadFile(filepath.Join(folder, "ok"))
	require.NoError(t, err)
	assert.Equal(t, "mine", string(mine), "no file is overwritten")
}

func FuzzImport(f *testing.F) {
	s, err := OpenMemory()
	require.NoError(f, err)
	require.NoError(f, s.Append(ctx, scripted(f, "v1")...))
	f.Add(bundleOf(f, s, "v1"))
	f.Add([]byte(`{"schema":"tankhand/bundle/1"}` + "\n"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		to, err := OpenMemory()
		require.NoError(t, err)
		defer to.Close()
		if _, err := Import(ctx, bytes.NewReader(raw), to, func(string, string, int64, []byte, bool) error { return nil }); err != nil {
			return
		}
		list, err := to.Visits(ctx)
		require.NoError(t, err)
		for _, m := range list {
			events, err := to.Events(ctx, m.ID)
			require.NoError(t, err)
			_, err = Fold(events)
			require.NoError(t, err)
		}
	})
}

func TestPurgedVisitIsGoneForGood(t *testing.T) {
	s, path := openTemp(t)
	require.NoError(t, s.Append(ctx, scripted(t, "v1")...))
	require.NoError(t, s.Append(ctx, event(t, "v2", 1, NoteBody{Text: "other visit"})))
	raw := bundleOf(t, s, "v1")
	got, err := s.PurgeVisit(ctx, "v1", "A. Example", "asked by customer", begun)
	require.NoError(t, err)
	assert.EqualValues(t, 13, got.Events)
	assert.Equal(t, []feed.Citation{{Path: "c.jsonl", Length: 950, SHA256: "dd"}}, got.Captures)
	assertNowhere(t, path, "clatters", "Joint box", "Example Growers")
	in, err := Import(ctx, bytes.NewReader(raw), s, nil)
	require.NoError(t, err)
	assert.Equal(t, Imported{Purged: 13}, in, "an old bundle does not bring it back")
	require.ErrorIs(t, s.Append(ctx, event(t, "v1", 20, NoteBody{})), ErrPurged)
	_, err = s.PurgeVisit(ctx, "v1", "", "", begun)
	require.ErrorIs(t, err, ErrNoVisit)
	var by, reason string
	require.NoError(t, s.db.QueryRow("SELECT by, reason FROM purges WHERE visit = 'v1'").Scan(&by, &reason))
	assert.Equal(t, "asked by customer", reason)
	list, err := s.Visits(ctx)
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.NoError(t, s.Append(ctx, event(t, "v3", 1, NoteBody{})))
	list, err = s.Visits(ctx)
	require.NoError(t, err)
	assert.EqualValues(t, 3, max(list[0].Number, list[1].Number), "the number 1 is not given again")
}

func assertNowhere(t *testing.T, path string, words ...string) {
	t.Helper()
	for _, f := range []string{path, path + "-wal"} {
		raw, err := os.ReadFile(f)
		require.NoError(t, err)
		for _, w := range words {
			assert.False(t, bytes.Contains(raw, []byte(w)), "%q is still in %s", w, f)
		}
	}
}

func TestPurgedPersonIsGoneTheVisitStays(t *testing.T) {
	s, path := openTemp(t)
	es := append(scripted(t, "v1"), event(t, "v1", 14, NoteBody{Text: "Asked a. EXAMPLE again; 12.5 l"}))
	require.NoError(t, s.Append(ctx, es...))
	raw := bundleOf(t, s, "v1")
	got, err := s.PurgePerson(ctx, "A. Example", "office", "asked", begun)
	require.NoError(t, err)
	assert.Equal(t, Purged{Visits: 1, Events: 2}, got)
	assertNowhere(t, path, "A. Example", "a. EXAMPLE")
	now, err := s.Events(ctx, "v1")
	require.NoError(t, err)
	v, err := Fold(now)
	require.NoError(t, err)
	assert.Equal(t, Erased, v.Technician)
	assert.Equal(t, "Asked (erased) again; 12.5 l", v.Notes[1].Text)
	assert.Equal(t, "Quarry Lane glasshouse", v.Site)
	assert.Equal(t, es[2:13], now[2:13], "what does not hold the name is as it was")
	in, err := Import(ctx, bytes.NewReader(raw), s, nil)
	require.NoError(t, err)
	assert.Zero(t, in.New)
	require.NoError(t, s.Append(ctx, es...), "the old events are known, and stay erased")
	assertNowhere(t, path, "A. Example")
	_, err = s.PurgePerson(ctx, " x ", "", "", begun)
	assert.Error(t, err)
}

// TestEveryStoreErases: a visit and a name go for good from the office's store as from a technician's.
func TestEveryStoreErases(t *testing.T) {
	stores(t, func(t *testing.T, store Store) {
		s := store.(interface {
			PurgeVisit(ctx context.Context, id, by, reason string, at time.Time) (Purged, error)
			PurgePerson(ctx context.Context, name, by, reason string, at time.Time) (Purged, error)
		})
		require.NoError(t, store.Append(ctx, scripted(t, "v1")...))
		require.NoError(t, store.Append(ctx, event(t, "v2", 1, NoteBody{Text: "seen by A. Example"})))
		got, err := s.PurgeVisit(ctx, "v1", "the keeper", "asked by customer", begun)
		require.NoError(t, err)
		assert.EqualValues(t, 13, got.Events)
		events, err := store.Events(ctx, "v1")
		require.True(t, err != nil || len(events) == 0)
		require.ErrorIs(t, store.Append(ctx, event(t, "v1", 20, NoteBody{})), ErrPurged)
		_, err = s.PurgePerson(ctx, "A. Example", "the keeper", "asked", begun)
		require.NoError(t, err)
		events, err = store.Events(ctx, "v2")
		require.NoError(t, err)
		require.NotContains(t, string(events[0].Body), "A. Example")
	})
}
