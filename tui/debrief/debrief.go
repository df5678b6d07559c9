// Package debrief is the page after a drill: right or wrong, what it cost, and every step beside what the
// program would have done.
package debrief

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// Left says that the page has been read.
type Left struct{}

// Options of the screen.
type Options struct {
	Theme theme.Theme
	// Path is where the debrief was written, "" where it was not.
	Path string
	// Save writes the text of the screen to a file and returns its path; nil: there is no such key.
	Save func(text string) (path string, err error)
}

// Model is the screen's state.
type Model struct {
	opt    Options
	lines  []string
	w, h   int
	scroll int
	help   bool
	said   string
}

// New is the page of a text; its lines are at most 80 columns wide.
func New(text string, opt Options) Model {
	return Model{opt: opt, lines: strings.Split(strings.TrimRight(text, "\n"), "\n")}
}

// Init does nothing.
func (m Model) Init() tea.Cmd { return nil }

// Update takes keys and the size of the window.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = msg.Width, msg.Height
	case keys.Copied:
		m.said = msg.Words()
	case tea.KeyMsg:
		m, cmd, _ := keys.Dispatch(m, msg, m.actions())
		return m, cmd
	}
	return m, nil
}

type action = keys.Action[Model]

func (m Model) actions() []action {
	leave := func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m, func() tea.Msg { return Left{} } }
	help := func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
		m.help = !m.help
		return m, nil
	}
	list := []action{
		{Binding: keys.When(m.scroll > 0, keys.As(keys.Up, "read back")), Do: m.move(-1)},
		{Binding: keys.When(m.more(), keys.As(keys.Down, "read on")), Do: m.move(1)},
	}
	if m.opt.Save != nil {
		list = append(list, action{Binding: keys.Copy, Do: keys.CopyOut(func(m Model) string { m.opt.Theme = theme.Theme{}; return m.View() }, m.opt.Save)})
	}
	if m.help {
		return append(list, action{Binding: keys.CloseHelp, Do: help}, action{Binding: keys.Leave, Do: leave})
	}
	return append(list,
		action{Binding: keys.As(keys.Enter, "a page on, then leave"), Do: m.page},
		action{Binding: keys.Help, Do: help},
		action{Binding: keys.Leave, Do: leave})
}

// rows are the lines that fit.
func (m Model) rows() int { return max(1, m.h-3) }

func (m Model) more() bool { return m.scroll+m.rows() < len(m.lines) }

func (m Model) move(by int) func(Model, tea.KeyMsg) (Model, tea.Cmd) {
	return func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
		m.scroll = max(0, min(m.scroll+by, len(m.lines)-m.rows()))
		return m, nil
	}
}

// page reads a page on; at the end the page is left.
func (m Model) page(_ Model, k tea.KeyMsg) (Model, tea.Cmd) {
	if !m.more() {
		return m, func() tea.Msg { return Left{} }
	}
	return m.move(m.rows()-1)(m, k)
}

// View paints the screen.
func (m Model) View() string {
	var status draw.Line
	if m.opt.Path != "" {
		status = draw.Of(theme.Plain, " the debrief is in "+m.opt.Path)
	}
	if m.said != "" {
		status = draw.Of(theme.Plain, " "+m.said)
	}
	return draw.Page{Head: draw.Of(theme.Strong, " tankhand  debrief"), Body: m.body, Status: status,
		Keys: draw.Keys(keys.Bindings(m.actions()), m.w)}.Paint(m.w, m.h, m.opt.Theme)
}

func (m Model) body(w, h int) draw.Block {
	var out draw.Block
	if m.help {
		for _, b := range keys.Bindings(m.actions()) {
			out = append(out, draw.Of(theme.Plain, " "+b.Help().Key+"  "+b.Help().Desc).Cut(w))
		}
		return out
	}
	for i := m.scroll; i < min(len(m.lines), m.scroll+h); i++ {
		ink := theme.Plain
		if l := m.lines[i]; l != "" && l[0] != ' ' {
			ink = theme.Strong
		}
		if w < 80 {
			out = append(out, draw.Wrap(ink, m.lines[i], w)...)
			continue
		}
		out = append(out, draw.Of(ink, m.lines[i]).Cut(w))
	}
	return out
}
