package start

import (
	"errors"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/tui/screentest"
)

func TestTheScreenCanBeCopiedOut(t *testing.T) {
	for _, fails := range []error{nil, errors.New("the disk is full")} {
		var kept string
		m := New([]Item{{ID: "rig:healthy", Kind: "Practice rig", Name: "healthy"}}, Options{Save: func(s string) (string, error) {
			kept = s
			return "screen.txt", fails
		}})
		m, _ = m.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
		m, cmd := m.Update(screentest.Key("c"))
		require.NotNil(t, cmd)
		m, _ = m.Update(cmd())
		assert.Contains(t, kept, "Where does the feed come from?")
		assert.NotContains(t, kept, "\x1b")
		if fails != nil {
			assert.Contains(t, m.View(), "the disk is full")
		} else {
			assert.Contains(t, m.View(), "screen.txt")
		}
	}
}
