package command

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestMain keeps the settings of whoever runs the tests out of them.
func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "tankhand")
	if err != nil {
		panic(err)
	}
	os.Setenv("XDG_CONFIG_HOME", dir)
	status := m.Run()
	os.RemoveAll(dir)
	os.Exit(status)
}

func writeSettings(t *testing.T, text string) (path string) {
	t.Helper()
	dir := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", dir)
	path = filepath.Join(dir, "tankhand", "settings.yaml")
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

func TestSettingsSpeakWhereNoFlagDoes(t *testing.T) {
	writeSettings(t, "units: us\n")
	out, errs, status := run(t, "survey", "--rig", "healthy", "--for", "2m")
	require.NotEqual(t, 2, status, errs)
	assert.Contains(t, out, " in")
	assert.Contains(t, out, "gal")
	out, _, _ = run(t, "survey", "--rig", "healthy", "--for", "2m", "--units", "metric")
	assert.NotContains(t, out, " gal")
}

// A wrong file is said with its place and does not stop the program.
func TestWrongSettingsDoNotStop(t *testing.T) {
	path := writeSettings(t, "units: furlongs\n")
	out, errs, status := run(t, "survey", "--rig", "healthy", "--for", "2m")
	require.NotEqual(t, 2, status)
	assert.Contains(t, errs, path+":1:8: one of metric, us is needed here")
	assert.Contains(t, out, " m")
}

// Who may not open mains enclosures says it once; the flag wins for one visit.
func TestTheTechnicianIsKnownFromTheSettings(t *testing.T) {
	writeSettings(t, "technician: A. N. Other\nmains: \"no\"\n")
	data := t.TempDir()
	_, errs, status := run(t, "walk", "no-echo", "--rig", "trigger-open", "--rig-answers", "--data", data)
	require.Less(t, status, 2, errs)
	out, _, _ := run(t, "visits", "report", "1", "--data", data)
	assert.Contains(t, out, "A. N. Other")
	_, errs, status = run(t, "walk", "no-echo", "--rig", "trigger-open", "--rig-answers", "--data", data, "--technician", "B. Second")
	require.Less(t, status, 2, errs)
	out, _, _ = run(t, "visits", "report", "2", "--data", data)
	assert.Contains(t, out, "B. Second")
}
