package debrief

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/testdata/golden"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/screentest"
)

// text is a debrief as a drill wrote it.
func text(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", "debrief.txt"))
	require.NoError(t, err)
	return string(data)
}

func at(t *testing.T, w, h int, pressed ...string) (Model, tea.Cmd) {
	m, _ := New(text(t), Options{Path: "debriefs/face-wet.txt"}).Update(tea.WindowSizeMsg{Width: w, Height: h})
	var cmd tea.Cmd
	for _, k := range pressed {
		m, cmd = m.Update(screentest.Key(k))
	}
	return m, cmd
}

func TestScreens(t *testing.T) {
	for _, s := range []struct {
		name string
		keys []string
	}{{"first", nil}, {"read-on", []string{"enter"}}, {"keys", []string{"?"}}} {
		for _, size := range [][2]int{{80, 24}, {120, 36}, {40, 12}} {
			m, _ := at(t, size[0], size[1], s.keys...)
			got := m.View()
			golden.Equal(t, fmt.Sprintf("%s-%dx%d.txt", s.name, size[0], size[1]), got+"\n")
			lines := strings.Split(got, "\n")
			assert.LessOrEqual(t, len(lines), size[1])
		}
	}
}

func TestEnterReadsToTheEndAndLeaves(t *testing.T) {
	m, cmd := at(t, 80, 24)
	for range 20 {
		if m, cmd = m.Update(screentest.Key("enter")); cmd != nil {
			break
		}
	}
	require.NotNil(t, cmd)
	assert.Equal(t, Left{}, cmd())
	assert.Contains(t, m.View(), "To read up")
}

func TestNoKeyTwiceAndAnyWindow(t *testing.T) {
	for _, pressed := range [][]string{nil, {"enter"}, {"?"}} {
		for w := 1; w < 130; w += 13 {
			for h := 1; h < 50; h += 7 {
				m, _ := at(t, w, h, pressed...)
				assert.Empty(t, keys.Clash(m.actions()))
				assert.LessOrEqual(t, len(strings.Split(m.View(), "\n")), h)
			}
		}
	}
}

func TestThePageCanBeCopiedOut(t *testing.T) {
	var kept string
	m, _ := New(text(t), Options{Save: func(s string) (string, error) { kept = s; return "screen.txt", nil }}).Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	m, cmd := m.Update(screentest.Key("c"))
	require.NotNil(t, cmd)
	m, _ = m.Update(cmd())
	assert.Contains(t, kept, "Debrief: Drops")
	assert.NotContains(t, kept, "\x1b")
	assert.Contains(t, m.View(), "the screen is in screen.txt")
}
