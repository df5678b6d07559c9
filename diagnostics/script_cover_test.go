package diagnostics_test

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/diagnostics"
)

// TestScriptsCoverEveryWord: for each check there is a case in which it passes, fails and cannot tell, and for each
// word of its grades one that shows it.
func TestScriptsCoverEveryWord(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txt")
	require.NoError(t, err)
	var all []byte
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		all = append(all, text...)
	}
	has := func(what string) bool { return regexp.MustCompile(`expect ` + what + `\b`).Match(all) }
	for _, c := range diagnostics.Checks() {
		for _, v := range []string{"pass", "fail", "cannot-tell"} {
			assert.True(t, has(c.ID()+" "+v), "%s %s", c.ID(), v)
		}
		for _, a := range c.Aspects() {
			for _, w := range a.Words {
				assert.True(t, has(c.ID()+`\.`+a.Name+" "+w), "%s.%s %s", c.ID(), a.Name, w)
			}
		}
	}
}
