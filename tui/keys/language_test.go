package keys

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The same word has the same key everywhere because there is one place where keys are given to words: no
// screen makes a binding of its own.
func TestOnlyThisPackageBindsKeys(t *testing.T) {
	bound := regexp.MustCompile(`key\.NewBinding|key\.WithKeys`)
	screens := 0
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || strings.HasPrefix(path, "../keys/") {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if strings.Contains(string(text), "keys.Dispatch(") {
			screens++
		}
		require.False(t, bound.Match(text), "%s binds keys of its own", path)
		return nil
	})
	require.NoError(t, err)
	require.GreaterOrEqual(t, screens, 4, "the walk found the screens")
}

// Every binding of this package is in the list that TestNoTwoWordsShareAKey goes through.
func TestTheListOfBindingsIsWhole(t *testing.T) {
	text, err := os.ReadFile("keys.go")
	require.NoError(t, err)
	test, err := os.ReadFile("keys_test.go")
	require.NoError(t, err)
	for _, m := range regexp.MustCompile(`(?m)^\t(\w+)\s+= bind\(`).FindAllStringSubmatch(string(text), -1) {
		if m[1] != "CloseHelp" { // it takes the keys of two others, which are not there then
			require.Regexp(t, `\b`+m[1]+`\b`, string(test))
		}
	}
}
