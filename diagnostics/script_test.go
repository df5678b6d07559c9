package diagnostics_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/diagnostics/script"
)

// TestScripts plays every case of testdata: each check's good, bad and cannot-tell ones. The truth
// of a case is in the script itself, which makes the feed; the limits are common practice, no source.
func TestScripts(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			t.Parallel()
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			s, err := script.Parse(file, string(text))
			require.NoError(t, err)
			require.NoError(t, s.Run())
		})
	}
}
