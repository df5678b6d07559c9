// Package golden holds what a test got against a file in the testdata folder of the tested package.
// `go test PACKAGE -update` writes the files anew: read the difference before it is committed. Only
// tests import it.
package golden

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Update is set by -update.
var Update = flag.Bool("update", false, "write the golden files anew")

// Equal fails the test where the text is not that of the file, a path below testdata.
func Equal[T string | []byte](t testing.TB, name string, got T) {
	t.Helper()
	path := filepath.Join("testdata", filepath.FromSlash(name))
	if *Update {
		Write(t, path, string(got))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), string(got), path)
}

// Write makes a file and the folder it is in.
func Write(t testing.TB, path, text string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
}
