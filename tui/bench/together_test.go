package bench

import (
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
)

// A slow link brings several keys at once.
func TestKeysThatComeTogether(t *testing.T) {
	for _, tt := range []struct {
		name, keys string
		paste      bool
		mode       mode
		field      string
	}{
		{"a key and the text of the field it opens", "nthe cable", false, noting, "the cable"},
		{"two keys", "tf", false, trending, ""}, // findings are no key of the trend
		{"a list and back to another", "wq", false, leaving, ""},
		{"what is pasted presses nothing", "nq", true, working, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m, _ := at(80, 24, measuring(), Options{})
			m, _ = m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(tt.keys), Paste: tt.paste})
			assert.Equal(t, tt.mode, m.mode)
			if tt.field != "" {
				assert.Equal(t, tt.field, m.field.Value())
			}
		})
	}
}
