package settings

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/testdata/golden"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/screentest"
	"example.org/tankhand/tui/theme"
)

func at(t *testing.T, w, h int, pressed ...string) Model {
	m := New(Settings{Technician: "A. N. Other", Units: "us"}, Options{Path: filepath.Join(t.TempDir(), "settings.yaml")})
	m, _ = m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return press(m, pressed...)
}

func press(m Model, pressed ...string) Model {
	for _, k := range pressed {
		m, _ = m.Update(screentest.Key(k))
	}
	return m
}

var scenes = map[string][]string{
	"settings": nil, "marked": {"down", "down", "down"}, "typing": {"enter", "!"}, "keys": {"?"},
}

func TestScreens(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 36}, {40, 12}} {
		for name, pressed := range scenes {
			golden.Equal(t, fmt.Sprintf("%s-%dx%d.txt", name, size[0], size[1]), at(t, size[0], size[1], pressed...).View()+"\n")
		}
	}
}

func TestAChangeIsKeptAtOnce(t *testing.T) {
	m := at(t, 80, 24)
	m, cmd := m.change(2)
	require.NotNil(t, cmd)
	assert.Equal(t, Changed{Settings{Technician: "A. N. Other", Units: "us", Mains: "no"}}, cmd())
	got, err := Load(m.opt.Path)
	require.NoError(t, err)
	assert.Equal(t, "no", got.Mains)
	assert.Contains(t, m.View(), "+ kept in ")
	m = press(m, "1", "!", "enter")
	got, err = Load(m.opt.Path)
	require.NoError(t, err)
	assert.Equal(t, "A. N. Other!", got.Technician)
}

func TestAFileThatCannotBeWrittenIsSaid(t *testing.T) {
	m := New(Settings{}, Options{Path: filepath.Join(t.TempDir(), "file", "settings.yaml"), Wrong: errors.New("x")})
	require.NoError(t, os.WriteFile(filepath.Dir(m.opt.Path), nil, 0o600))
	m, _ = m.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	assert.Contains(t, m.View(), "has mistakes")
	m = press(m, "2")
	assert.Contains(t, m.View(), "! keeping the settings")
	assert.Equal(t, Settings{}, m.now)
}

func TestSizesAndKeys(t *testing.T) {
	for w := range 90 {
		for _, h := range []int{0, 1, 2, 5, 12, 30} {
			for _, pressed := range scenes {
				v := at(t, w, h, pressed...).View()
				require.LessOrEqual(t, strings.Count(v, "\n"), max(0, h-1))
				for _, row := range strings.Split(v, "\n") {
					require.LessOrEqual(t, theme.Widths.StringWidth(row), w)
				}
			}
		}
	}
	for _, pressed := range scenes {
		assert.Empty(t, keys.Clash(at(t, 80, 24, pressed...).actions()))
	}
}

// Every key of the screen stands in its list of keys, with its word.
func TestEveryKeyIsListed(t *testing.T) {
	m := at(t, 100, 60)
	help := press(m, "?").View()
	for _, a := range m.actions() {
		assert.Regexp(t, regexp.QuoteMeta(a.Help().Key)+` +`+regexp.QuoteMeta(a.Help().Desc), help)
	}
}
