package keys

import (
	"testing"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
)

type count struct{ n int }

func add(n int) func(count, tea.KeyMsg) (count, tea.Cmd) {
	return func(c count, _ tea.KeyMsg) (count, tea.Cmd) { return count{c.n + n}, nil }
}

func TestDispatch(t *testing.T) {
	list := []Action[count]{{Binding: When(false, Skip), Do: add(1)}, {Binding: Undo, Do: add(10)}}
	press := func(r rune) (count, bool) {
		c, _, ok := Dispatch(count{}, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}, list)
		return c, ok
	}
	c, ok := press('u')
	assert.Equal(t, count{10}, c)
	assert.True(t, ok)
	c, ok = press('s')
	assert.Equal(t, count{}, c, "a key that is not enabled does nothing")
	assert.False(t, ok)
}

func TestClash(t *testing.T) {
	assert.Empty(t, Clash([]Action[count]{{Skip, add(1)}, {Undo, add(1)}}))
	assert.Equal(t, "s", Clash([]Action[count]{{Skip, add(1)}, {As(Skip, "other"), add(1)}}))
	assert.Empty(t, Clash([]Action[count]{{Skip, add(1)}, {When(false, Skip), add(1)}}))
}

// The shared bindings themselves must not be changed by a screen that gives one another word.
func TestAsLeavesTheSharedBindingAlone(t *testing.T) {
	b := As(Enter, "begin")
	b = When(false, b)
	assert.Equal(t, "take it", Enter.Help().Desc)
	assert.True(t, Enter.Enabled())
	assert.False(t, b.Enabled())
}

func TestNoTwoWordsShareAKey(t *testing.T) {
	seen := map[string]string{}
	for _, b := range []key.Binding{Enter, Digit, Up, Down, Ack, Skip, Undo, Why, Remedy, Note, Findings, Trend, Units, Pane, Better, Open, HandOver,
		FollowUp, Copy, Lines, Unit, LostEcho, Save, Visits, Settings, Report, Find, Look, Hint, Back, Help, Leave, Suspend} {
		for _, k := range b.Keys() {
			assert.Empty(t, seen[k], "%s is %s and %s", k, seen[k], b.Help().Desc)
			seen[k] = b.Help().Desc
		}
	}
}

func TestIndex(t *testing.T) {
	assert.Equal(t, 0, Index(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{'1'}}))
	assert.Equal(t, 8, Index(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{'9'}}))
	assert.Equal(t, -1, Index(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{'0'}}))
	assert.Equal(t, -1, Index(tea.KeyMsg{Type: tea.KeyEnter}))
}
