package command

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/visit"
)

// A store with a torn page in the middle gives back the visits around it, in a store that is whole.
func TestSalvage(t *testing.T) {
	dir := t.TempDir()
	store, mended := filepath.Join(dir, "visits.db"), filepath.Join(dir, "mended.db")
	full, err := visit.Open(store)
	require.NoError(t, err)
	for i := range 100 {
		id := fmt.Sprintf("visit-%03d", i)
		for seq, body := range []visit.Body{visit.BegunBody{Site: "Quarry Lane glasshouse"}, visit.NoteBody{Text: strings.Repeat("invented ", 20)}} {
			e, err := visit.New(body)
			require.NoError(t, err)
			require.NoError(t, full.Append(t.Context(), e.Stamp(fmt.Sprint(id, "-", seq), id, int64(seq+1), time.Date(2026, 5, 4, 7, i, seq, 0, time.UTC))))
		}
	}
	require.NoError(t, full.Close())
	raw, err := os.ReadFile(store)
	require.NoError(t, err)
	middle := len(raw) / 2 / 4096 * 4096
	copy(raw[middle:], strings.Repeat("Z", 3*4096))
	require.NoError(t, os.WriteFile(store, raw, 0o600))

	out, errs, status := run(t, "visits", "salvage", store, "--out", mended)
	assert.Equal(t, 0, status, errs)
	assert.Contains(t, out, "visits written to "+mended)
	out, errs, status = run(t, "visits", "list", "--store", mended)
	assert.Equal(t, 0, status, errs)
	assert.Greater(t, strings.Count(out, "Quarry Lane"), 30)

	_, errs, status = run(t, "visits", "salvage", store, "--out", mended)
	assert.Equal(t, 2, status)
	assert.Contains(t, errs, "the file exists")
	_, errs, status = run(t, "visits", "salvage", filepath.Join(dir, "none.db"), "--out", filepath.Join(dir, "x.db"))
	assert.Equal(t, 2, status)
	assert.Contains(t, errs, "name the damaged file")
}
