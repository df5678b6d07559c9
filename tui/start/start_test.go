package start

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/tui/keys"
)

var update = flag.Bool("update", false, "write the golden screens anew")

func items() []Item {
	return []Item{
		{ID: "rig:healthy", Kind: "Practice rig, an invented installation", Name: "healthy", What: "nothing is wrong: look around"},
		{ID: "rig:brownout", Kind: "Practice rig, an invented installation", Name: "relay chatter", What: "The relay clicks on and off far more often than the water calls for."},
		{ID: "port:/dev/ttyUSB0", Kind: "Serial ports", Name: "/dev/ttyUSB0", What: "USB serial adapter", Warning: "opening it may restart the board, and a pump may switch"},
		{ID: "port:/dev/ttyS0", Kind: "Serial ports", Name: "/dev/ttyS0", Refused: "no right to open it: add yourself to the dialout group and log in again"},
		{ID: "visit:3", Kind: "Visits to go on with", Name: "HT-2", What: "relay chatter, begun 07:31"},
	}
}

func press(m Model, ks ...tea.KeyMsg) (Model, tea.Msg) {
	var msg tea.Msg
	for _, k := range ks {
		var cmd tea.Cmd
		if m, cmd = m.Update(k); cmd != nil {
			msg = cmd()
		}
	}
	return m, msg
}

var (
	enter = tea.KeyMsg{Type: tea.KeyEnter}
	down  = tea.KeyMsg{Type: tea.KeyDown}
	esc   = tea.KeyMsg{Type: tea.KeyEsc}
)

func digitKey(d rune) tea.KeyMsg { return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{d}} }

func at(w, h int) Model {
	m, _ := New(items(), Options{Version: "test"}).Update(tea.WindowSizeMsg{Width: w, Height: h})
	return m
}

func TestScreens(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 36}, {40, 12}} {
		asked, _ := press(at(size[0], size[1]), digitKey('3'))
		help, _ := press(at(size[0], size[1]), digitKey('?'))
		loading, _ := New(nil, Options{}).Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		for name, m := range map[string]Model{"start": at(size[0], size[1]), "asked": asked, "keys": help, "loading": loading} {
			golden(t, fmt.Sprintf("%s-%dx%d", name, size[0], size[1]), m.View())
		}
	}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".txt")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o700))
		require.NoError(t, os.WriteFile(file, []byte(got+"\n"), 0o600))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), got+"\n")
}

func TestEnterOnTheFirstLineGetsGoing(t *testing.T) {
	_, msg := press(at(80, 24), enter)
	assert.Equal(t, Chosen{items()[0]}, msg)
}

// Opening a port may switch a pump: it is said first, and only a second key opens it.
func TestAWarningIsReadBeforeOpening(t *testing.T) {
	m, msg := press(at(80, 24), down, down, enter)
	assert.Nil(t, msg)
	assert.Contains(t, m.View(), "CAUTION  ! opening it may restart the board")
	_, msg = press(m, enter)
	assert.Equal(t, Chosen{items()[2]}, msg)
	m, msg = press(m, esc)
	assert.Nil(t, msg)
	assert.NotContains(t, m.View(), "CAUTION")
}

func TestARefusedPortIsExplained(t *testing.T) {
	m, msg := press(at(120, 24), digitKey('4'))
	assert.Nil(t, msg)
	assert.Contains(t, m.View(), "add yourself to the dialout group")
}

func TestTheMarkStaysAtItsItem(t *testing.T) {
	m, _ := press(at(80, 24), down)
	again := append([]Item{{ID: "new", Name: "new port"}}, items()...)
	m = m.With(again)
	_, msg := press(m, enter)
	assert.Equal(t, "rig:brownout", msg.(Chosen).Item.ID)
	assert.NotPanics(t, func() { m.With([]Item{}).View() })
}

func TestSizesAndKeys(t *testing.T) {
	for w := range 90 {
		for _, h := range []int{0, 1, 2, 5, 12, 30} {
			v := at(w, h).View()
			require.LessOrEqual(t, strings.Count(v, "\n"), max(0, h-1))
			_ = at(w, h).Opening("x")
		}
	}
	assert.Empty(t, keys.Clash(at(80, 24).actions()))
}

func TestHostileNamesAreMadeVisible(t *testing.T) {
	m := at(80, 24).With([]Item{{ID: "x", Kind: "\x1b[2J", Name: "USB\x1b]0;owned\x07", What: "\u202e", Refused: ""}})
	assert.NotContains(t, m.View(), "\x1b")
	assert.Contains(t, m.View(), "USB^[]0;owned^G")
	assert.NotContains(t, m.Opening("\x1b[2J"), "\x1b")
}
