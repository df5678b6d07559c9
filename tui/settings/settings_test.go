package settings

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWhatIsSavedIsLoaded(t *testing.T) {
	for _, s := range []Settings{
		{},
		{Technician: "A. N. Other: \"the\" # one", Units: "us", Mains: "no"},
		{Where: "remote", SlowLink: "no", Colour: "off", Drawing: "ascii", Report: "pdf", Customer: "no", Paper: "letter", Learning: "no"},
	} {
		path := filepath.Join(t.TempDir(), "below", "settings.yaml")
		aside, err := Save(path, s)
		require.NoError(t, err)
		assert.Empty(t, aside)
		got, err := Load(path)
		require.NoError(t, err)
		assert.Equal(t, s, got)
	}
}

func TestNoFileIsNoSettings(t *testing.T) {
	s, err := Load(filepath.Join(t.TempDir(), "none.yaml"))
	require.NoError(t, err)
	assert.Equal(t, Settings{}, s)
}

// A wrong file is said with its places; what is right in it is taken, and nothing of it is lost.
func TestAWrongFileLosesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "settings.yaml")
	wrong := "units: us\nmains: perhaps\ntecnician: A. N. Other\n"
	require.NoError(t, os.WriteFile(path, []byte(wrong), 0o600))
	s, err := Load(path)
	require.ErrorContains(t, err, path+":2:8")
	require.ErrorContains(t, err, "did you mean technician?")
	assert.Equal(t, Settings{Units: "us"}, s)

	aside, err := Save(path, Settings{Units: "us", Mains: "no"})
	require.NoError(t, err)
	kept, err := os.ReadFile(aside)
	require.NoError(t, err)
	assert.Equal(t, wrong, string(kept))
	s, err = Load(path)
	require.NoError(t, err)
	assert.Equal(t, Settings{Units: "us", Mains: "no"}, s)
}

func TestCommentsStay(t *testing.T) {
	path := filepath.Join(t.TempDir(), "settings.yaml")
	require.NoError(t, os.WriteFile(path, []byte("# ours\nunits: metric # since ever\nmains: no\n"), 0o600))
	aside, err := Save(path, Settings{Units: "us", Technician: "A. N. Other"})
	require.NoError(t, err)
	assert.Empty(t, aside)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "# ours\nunits: us # since ever\nmains: \"yes\"\ntechnician: A. N. Other\n", string(text))
}

func TestEveryWordComesRound(t *testing.T) {
	for _, c := range Choices() {
		if len(c.Words) == 0 {
			continue
		}
		var s Settings
		for i := range c.Words {
			assert.Equal(t, c.Words[i], c.Get(s), c.Key)
			s = c.Set(s, c.Next(s))
		}
		assert.Equal(t, Settings{}, s, c.Key)
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(Format(Settings{})))
	f.Add([]byte("units: [us]\nwhere: {a: b}\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := Parse("f", text)
		if err != nil || !utf8.ValidString(s.Technician) || len(s.Technician) > 200 || strings.TrimSpace(s.Technician) != s.Technician {
			return
		}
		again, err := Parse("f", []byte(Format(s)))
		require.NoError(t, err)
		require.Equal(t, s, again)
	})
}
