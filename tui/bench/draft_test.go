package bench

import (
	"context"
	"errors"
	"sync"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"

	"example.org/tankhand/faulttree/visit"
)

// drafting is a session that keeps drafts.
type drafting struct {
	fake
	mu   sync.Mutex
	text string
	num  int
}

func (d *drafting) Draft() string { return d.text }
func (d *drafting) KeepDraft(n int, text string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if n >= d.num {
		d.num, d.text = n, text
	}
	return nil
}

func drafted(left string) (Model, *drafting) {
	d := &drafting{fake: fake{ch: make(chan visit.Snapshot, 1)}, text: left}
	m := New(context.Background(), d, Options{Base: sceneBase()})
	m, _ = m.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	m, _ = m.Update(came{snap: measuring(), ok: true})
	return m, d
}

func TestANoteIsKeptWhileItIsTyped(t *testing.T) {
	for _, tt := range []struct {
		name    string
		left    string // from an earlier run
		pressed []string
		fails   bool
		kept    string
		stored  []string
	}{
		{"half typed", "", []string{"n", "c", "a", "b"}, false, "cab", nil},
		{"gone on with", "ca", []string{"n", "b"}, false, "cab", nil},
		{"finished", "ca", []string{"n", "b", "enter"}, false, "", []string{"cab"}},
		{"thrown away", "ca", []string{"n", "esc"}, false, "", nil},
		{"not to be stored", "", []string{"n", "x", "enter"}, true, "x", []string{"x"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m, d := drafted(tt.left)
			if tt.fails {
				d.err = errors.New("no space left on device")
			}
			m = press(m, tt.pressed...)
			assert.Equal(t, tt.kept, m.unfinished, "what the field opens with")
			assert.Equal(t, tt.kept, d.text)
			var stored []string
			for _, c := range d.done {
				stored = append(stored, c.(visit.AddNote).Text)
			}
			assert.Equal(t, tt.stored, stored)
		})
	}
}
