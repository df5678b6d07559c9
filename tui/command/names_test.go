package command

import (
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/livelevel/dialect"
)

// Names come out of site sheets, feeds and other firms' visits; none may leave its folder.
func TestNamesStayInTheirFolder(t *testing.T) {
	config := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", config)
	for _, name := range []string{"../../etc/passwd", "/etc/passwd", `..\..\x`, "a\x00b", "CON", ".", "..", "", "\u202egpj.exe", "a/b", "-rf", "$(id)", "HT-2"} {
		got := plainName(name)
		assert.Regexp(t, regexp.MustCompile(`^[a-z0-9][a-z0-9-]*$`), got, "%q", name)
		d, _ := dialect.Parse("d", []byte(wrongDialect))
		d.Name = name
		path, err := (&Program{}).keepDialect(d)
		assert.NoError(t, err)
		assert.Equal(t, filepath.Join(config, "tankhand", "dialects"), filepath.Dir(path), "%q", name)
	}
}
