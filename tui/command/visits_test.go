package command

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// aVisit plays a whole visit on the practice rig and returns the data folder that it is kept in.
func aVisit(t *testing.T, args ...string) string {
	t.Helper()
	data := t.TempDir()
	words := append([]string{"walk", "relay-chatter", "--rig", "hyst-small", "--rig-answers", "--data", data, "--listen", "12m", "--clock-rate", "800"}, args...)
	_, errs, status := run(t, words...)
	require.Zero(t, status, errs)
	return data
}

func TestAVisitIsReportedInEveryFormat(t *testing.T) {
	data := aVisit(t)
	for format, want := range map[string][]string{
		"html":     {"<!DOCTYPE html>", "<svg", "Invented data", "Gap between start and stop"},
		"pdf":      {"%PDF-"},
		"markdown": {"Invented data", "As found and as left", "Gap between start and stop"},
		"csv":      {"relay-switching"},
		"json":     {`"hyst-small"`},
	} {
		path := filepath.Join(data, "report."+format)
		_, errs, status := run(t, "visits", "report", "1", "--format", format, "--out", path, "--data", data)
		require.Zero(t, status, errs)
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		for _, w := range want {
			assert.True(t, strings.Contains(string(text), w), "the %s report says %q", format, w)
		}
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	}
	out, errs, status := run(t, "visits", "report", "1", "--samples", "--data", data)
	require.Zero(t, status, errs)
	assert.Greater(t, strings.Count(out, "\n"), 5000, "twelve minutes at ten a second, read anew from the capture")
}

func TestVisitsAreExchangedCorrectedAndErased(t *testing.T) {
	data, other := aVisit(t), t.TempDir()
	bundle := filepath.Join(t.TempDir(), "bundle.jsonl")
	_, errs, status := run(t, "visits", "export", "1", "--captures", "--out", bundle, "--data", data)
	require.Zero(t, status, errs)
	for _, want := range []string{" new, 0 known", " 0 entries new, "} {
		out, errs, status := run(t, "visits", "import", bundle, "--data", other)
		require.Zero(t, status, errs)
		require.Contains(t, out, want)
	}
	_, errs, status = run(t, "visits", "correct", "1", "technician", "T. Hand", "--reason", "was left out", "--data", other)
	require.Zero(t, status, errs)
	_, errs, status = run(t, "visits", "note", "1", "the box", "--file", bundle, "--data", other)
	require.Zero(t, status, errs)
	out, _, _ := run(t, "visits", "show", "1", "--data", other)
	assert.Contains(t, out, "technician is now T. Hand; was left out")
	assert.Contains(t, out, "the box")
	_, errs, status = run(t, "visits", "purge", "1", "--data", other)
	require.Equal(t, 2, status)
	require.Contains(t, errs, "--yes")
	out, errs, status = run(t, "visits", "purge", "1", "--yes", "--by", "the customer", "--data", other)
	require.Zero(t, status, errs)
	require.Contains(t, out, "erased: 1 visits")
	out, _, _ = run(t, "visits", "list", "--data", other)
	require.Contains(t, out, "No visits yet")
}

// TestAnOfficeThatIsDownHoldsUpNoVisit: the visit is kept here and waits.
func TestAnOfficeThatIsDownHoldsUpNoVisit(t *testing.T) {
	began := time.Now()
	data := aVisit(t, "--store", "postgres://nobody@127.0.0.1:1/tankhand")
	assert.Less(t, time.Since(began), 30*time.Second)
	out, _, status := run(t, "visits", "list", "--data", data)
	require.Zero(t, status)
	assert.Contains(t, out, "relay-chatter")
}

// TestADiskThatFailsDoesNotEndTheVisit: the folder of visits is a file, so nothing can be kept there;
// the visit goes on in memory and what it holds is rescued.
func TestADiskThatFailsDoesNotEndTheVisit(t *testing.T) {
	blocked := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(blocked, nil, 0o600))
	out, errs, status := run(t, "walk", "relay-chatter", "--rig", "hyst-small", "--rig-answers", "--listen", "12m", "--clock-rate", "800", "--store", filepath.Join(blocked, "visits.db"), "--data", t.TempDir())
	assert.Contains(t, out, "Cause named")
	assert.NotZero(t, status, "what could not be kept is an error")
	require.Contains(t, errs, "tankhand visits import")
	bundle := strings.Fields(errs[strings.Index(errs, "stands in ")+len("stands in "):])[0]
	defer os.Remove(strings.TrimSuffix(bundle, ":"))
	in, errs, status := run(t, "visits", "import", strings.TrimSuffix(bundle, ":"), "--data", t.TempDir())
	require.Zero(t, status, errs)
	require.Contains(t, in, "1 visits")
}
