// Package keys is the one language of keys of all screens: the same word has the same key
// everywhere. A binding holds its keys, its help and whether it is enabled in one value.
package keys

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

func bind(show, help string, ks ...string) key.Binding {
	return key.NewBinding(key.WithKeys(ks...), key.WithHelp(show, help))
}

// The bindings. Screens change the help word where a key's deed has a better name there, never the
// keys.
var (
	Enter    = bind("Enter", "take it", "enter")
	Digit    = bind("1-9", "answer", "1", "2", "3", "4", "5", "6", "7", "8", "9")
	Up       = bind("up", "mark above", "up", "k")
	Down     = bind("down", "mark below", "down", "j")
	Ack      = bind("a", "caution read", "a")
	Skip     = bind("s", "skip", "s")
	Undo     = bind("u", "undo", "u")
	Why      = bind("w", "why", "w")
	Remedy   = bind("r", "remedy", "r")
	Note     = bind("n", "note", "n")
	Findings = bind("f", "findings", "f")
	Trend    = bind("t", "trend", "t")
	Units    = bind("i", "units", "i")
	Pane     = bind("Tab", "next pane", "tab")
	Better   = bind("b", "take the better step", "b")
	Open     = bind("o", "open skipped", "o")
	Copy     = bind("c", "copy to a file", "c")
	HandOver = bind("h", "hand over", "h")
	FollowUp = bind("d", "follow-up date", "d")
	Lines    = bind("l", "lines and columns", "l")
	Unit     = bind("m", "another unit", "m")
	LostEcho = bind("e", "lost echo", "e")
	Save     = bind("v", "keep the dialect", "v")
	Visits   = bind("p", "past visits", "p")
	Settings = bind("g", "settings", "g")
	Report   = bind("y", "write the report", "y")
	Find     = bind("/", "find", "/")
	Look     = bind("x", "look or measure", "x")
	Hint     = bind("z", "hint", "z")
	Back     = bind("Esc", "back", "esc")
	Help     = bind("?", "keys", "?")
	// CloseHelp is there while the keys are listed: what a newcomer presses there.
	CloseHelp = bind("?, Enter", "close the list", "?", "enter")
	Leave     = bind("q", "leave", "q", "ctrl+c")
	Suspend   = bind("Ctrl-Z", "to the shell", "ctrl+z")
)

// As is a binding with another help word.
func As(b key.Binding, help string) key.Binding {
	b.SetHelp(b.Help().Key, help)
	return b
}

// When is a binding enabled only if on.
func When(on bool, b key.Binding) key.Binding {
	b.SetEnabled(on)
	return b
}

// Action is a binding and its deed: what is pressed, what help says, whether it may be pressed and
// what happens are one value.
type Action[M any] struct {
	key.Binding
	Do func(M, tea.KeyMsg) (M, tea.Cmd)
}

// Dispatch runs the first enabled action that the key stands for; ok is false when there is none.
func Dispatch[M any](m M, msg tea.KeyMsg, actions []Action[M]) (next M, cmd tea.Cmd, ok bool) {
	for _, a := range actions {
		if key.Matches(msg, a.Binding) {
			next, cmd = a.Do(m, msg)
			return next, cmd, true
		}
	}
	return m, nil, false
}

// Clash returns a key that two enabled actions of one screen share, or "".
func Clash[M any](actions []Action[M]) string {
	seen := map[string]bool{}
	for _, a := range actions {
		if !a.Enabled() {
			continue
		}
		for _, k := range a.Keys() {
			if seen[k] {
				return k
			}
			seen[k] = true
		}
	}
	return ""
}

// Index is the place, from 0, of a digit key.
func Index(msg tea.KeyMsg) int {
	return strings.Index("123456789", msg.String())
}

// Bindings are those of some actions, for help.
func Bindings[M any](actions []Action[M]) []key.Binding {
	out := make([]key.Binding, len(actions))
	for i, a := range actions {
		out[i] = a.Binding
	}
	return out
}

// Go is the message by which one screen asks for another.
type Go uint8

// The screens that others open, and the way out of the program.
const (
	ToVisits Go = iota
	ToSettings
	ToLeave
)

// GoTo is the deed of a key that asks for another screen.
func GoTo[M any](to Go) func(M, tea.KeyMsg) (M, tea.Cmd) {
	return func(m M, _ tea.KeyMsg) (M, tea.Cmd) { return m, func() tea.Msg { return to } }
}

// Copied is the end of a copy of a screen to a file.
type Copied struct {
	Path string
	Err  error
}

// Words say where the copy is, or what went wrong.
func (c Copied) Words() string {
	if c.Err != nil {
		return c.Err.Error()
	}
	return "the screen is in " + c.Path
}

// CopyOut is the deed of the key that writes a screen to a file; view is its text without colours.
func CopyOut[M any](view func(M) string, save func(text string) (path string, err error)) func(M, tea.KeyMsg) (M, tea.Cmd) {
	return func(m M, _ tea.KeyMsg) (M, tea.Cmd) {
		text := view(m)
		return m, func() tea.Msg {
			path, err := save(text)
			return Copied{path, err}
		}
	}
}
