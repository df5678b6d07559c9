package command

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestManualPages(t *testing.T) {
	dir := t.TempDir()
	_, errs, status := run(t, "manual", "--out", dir)
	require.Zero(t, status, errs)
	for _, c := range append((&Program{}).root().Commands(), (&Program{}).root()) {
		if c.Hidden {
			continue
		}
		text, err := os.ReadFile(filepath.Join(dir, map[bool]string{true: "tankhand-" + c.Name(), false: "tankhand"}[c.HasParent()]+".1"))
		require.NoError(t, err)
		assert.Contains(t, string(text), roff(c.Short))
	}
	groff, err := exec.LookPath("groff")
	if err != nil {
		t.Log("no groff here: the pages were not set")
		return
	}
	out, err := exec.Command(groff, "-man", "-ww", "-z", "-k", filepath.Join(dir, "tankhand-survey.1")).CombinedOutput()
	require.NoError(t, err)
	assert.Empty(t, string(out), "complaints of the typesetter")
}

func TestRoff(t *testing.T) {
	assert.Equal(t, "\\&.TH \\e x\n\\&'a\\-b", roff(".TH \\ x\n'a-b"))
}

func TestCompletionsOfEveryShell(t *testing.T) {
	for _, shell := range []string{"bash", "zsh", "fish", "powershell"} {
		out, errs, status := run(t, "completion", shell)
		require.Zero(t, status, errs)
		assert.Contains(t, out, "tankhand")
	}
}
