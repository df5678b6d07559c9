package command

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/dialect"
)

const sheetWithComment = "# north wall\nsheet: tankhand/site/1\nasset: HT-2 # invented\ntank: {shape: vertical cylinder, diameter: 1.10 m, height: 1.60 m}\n" +
	"sensor: {face_height: 1.75 m}\n"

func taughtDialect(t *testing.T) dialect.Dialect {
	d, err := dialect.Parse("taught", []byte("dialect: tankhand/dialect/1\nname: HT-2\nkind: text\n"+
		"fields:\n  - {role: ullage, at: zz, unit: mm, lost: [7777]}\n"))
	require.NoError(t, err)
	return d
}

// What was taught on a site is offered there again: the sheet names it, and is otherwise as it was.
func TestATaughtDialectIsOfferedAgainOnItsSite(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	sheet := filepath.Join(t.TempDir(), "tank.yaml")
	require.NoError(t, os.WriteFile(sheet, []byte(sheetWithComment), 0o640))
	p := &Program{sheetInUse: sheet}
	said, err := p.keepDialect(taughtDialect(t))
	require.NoError(t, err)
	assert.Contains(t, said, sheet)
	text, err := os.ReadFile(sheet)
	require.NoError(t, err)
	for _, line := range strings.Split(strings.TrimSpace(sheetWithComment), "\n") {
		assert.Contains(t, string(text), line)
	}
	assert.Contains(t, string(text), "dialect: ht-2")
	info, err := os.Stat(sheet)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm())

	s := source{file: "-", sheetPath: sheet}
	o, err := s.open(1)
	require.NoError(t, err)
	require.NotNil(t, o.dialect)
	assert.Equal(t, "ht-2", o.dialect.Name)
	assert.Equal(t, []string{"7777"}, o.dialect.Fields[0].Lost)
}

func TestASheetThatCannotBeWrittenCostsNoDialect(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	p := &Program{sheetInUse: filepath.Join(t.TempDir(), "gone.yaml")}
	said, err := p.keepDialect(taughtDialect(t))
	require.NoError(t, err)
	assert.Contains(t, said, "dialect: ht-2")
	_, err = namedDialect("ht-2")
	assert.NoError(t, err)
}

func TestADialectByItsName(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	p := &Program{}
	path, err := p.keepDialect(taughtDialect(t))
	require.NoError(t, err)
	builtin := dialect.Builtins()[0].Name
	for _, c := range []struct{ given, want, wrong string }{
		{given: builtin, want: builtin},
		{given: "ht-2", want: "ht-2"},
		{given: path, want: "ht-2"},
		{given: "nowhere", wrong: `no dialect "nowhere"`},
	} {
		s := source{file: "-", dialectPath: c.given}
		o, err := s.open(1)
		if c.wrong != "" {
			assert.ErrorContains(t, err, c.wrong)
			continue
		}
		require.NoError(t, err, c.given)
		assert.Equal(t, c.want, o.dialect.Name)
	}
}

// A name in the sheet whose file is gone is no reason to stop: the feed is learned anew.
func TestASheetThatNamesALostDialect(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	sheet := filepath.Join(t.TempDir(), "tank.yaml")
	require.NoError(t, os.WriteFile(sheet, []byte(sheetWithComment+"dialect: gone\n"), 0o600))
	s := source{file: "-", sheetPath: sheet}
	o, err := s.open(1)
	require.NoError(t, err)
	assert.Nil(t, o.dialect)
}
