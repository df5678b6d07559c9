package command

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// firmKnowledge puts a firm's own files into a config folder of this test.
func firmKnowledge(t *testing.T, files map[string]string) {
	t.Helper()
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	folder := filepath.Join(os.Getenv("XDG_CONFIG_HOME"), "tankhand", "knowledge")
	require.NoError(t, os.MkdirAll(folder, 0o700))
	for name, text := range files {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
	}
}

// gnawed is an invented firm that meets martens: a cause, a probe and its weight among the shipped ones.
var gnawed = map[string]string{
	"causes.yaml": `gnawed-cable:
  title: Sensor cable gnawed by a marten
  remedy: "Replace the gnawed length and put it in a steel conduit."
  parts: [steel conduit]
  minutes: 30
  proof: {probe: gnaw-marks, want: sound}
`,
	"probes.yaml": `gnaw-marks:
  kind: looked
  ask: "Follow the sensor cable through the loft: teeth marks?"
  minutes: 3
  answers: [sound, gnawed]
  usual: [0.97, 0.03]
  rows: {gnawed-cable: [0.03, 0.97]}
`,
	"no-echo.yaml": "complaint: no-echo\npriors: {gnawed-cable: 0.3}\nprobes: [gnaw-marks]\n",
}

// TestAFirmsOwnCauseIsFoundMendedAndReported walks at a plain terminal with a firm's own knowledge: its
// probe is offered, its cause mended, its proof asked, and all of it stands in the report.
func TestAFirmsOwnCauseIsFoundMendedAndReported(t *testing.T) {
	firmKnowledge(t, gnawed)
	data, looked := t.TempDir(), 0
	said, status := talk(t, func(asked string) string {
		switch {
		case strings.Contains(asked, "teeth marks?"):
			looked++
			return []string{"gnawed", "sound"}[min(looked, 2)-1]
		case strings.Contains(asked, "understood?"), strings.Contains(asked, "done? ("):
			return "y"
		case strings.Contains(asked, "Enter closes"):
			return ""
		case looked == 0:
			return "a gnaw-marks"
		}
		return "s"
	}, "walk", "no-echo", "--rig", "healthy", "--clock-rate", "400", "--listen", "2m", "--data", data)
	require.Zero(t, status, said)
	assert.Contains(t, said, "> remedy, 30 min: Replace the gnawed length")
	assert.Contains(t, said, "have in hand: steel conduit")
	assert.Contains(t, said, "Cause named: Sensor cable gnawed by a marten (gnawed-cable)")
	assert.Contains(t, said, "Closed as: mended and proven")
	report, errs, status := run(t, "visits", "report", "1", "--format", "markdown", "--data", data)
	require.Zero(t, status, errs)
	assert.Contains(t, report, "Sensor cable gnawed by a marten")
	assert.Contains(t, report, "teeth marks?")
	tree, _, status := run(t, "tree", "no-echo")
	require.Zero(t, status)
	assert.Contains(t, tree, "teeth marks?")
	lint, _, status := run(t, "tree", "--lint")
	require.Zero(t, status, lint)
}

// TestAFirmsSlipIsShownWithItsPlace refuses to work with knowledge that is wrong, and says where.
func TestAFirmsSlipIsShownWithItsPlace(t *testing.T) {
	bad := map[string]string{"causes.yaml": strings.Replace(gnawed["causes.yaml"], "want: sound", "want: whole", 1),
		"probes.yaml": gnawed["probes.yaml"], "no-echo.yaml": gnawed["no-echo.yaml"]}
	firmKnowledge(t, bad)
	for _, args := range [][]string{{"tree", "--lint"}, {"tree", "no-echo"}, {"walk", "no-echo", "--rig", "healthy", "--data", t.TempDir()}} {
		_, errs, status := run(t, args...)
		assert.Equal(t, 2, status, args)
		assert.Regexp(t, `causes\.yaml:6:\d+: .*whole`, errs, args)
	}
}
