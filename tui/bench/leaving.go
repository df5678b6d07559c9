package bench

import (
	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// open tells whether a visit was begun and not closed.
func (m Model) open() bool { return m.snap.Walk != nil && m.snap.Visit.Outcome == "" && !m.ended }

// leaveWays are the ways out.
func (m Model) leaveWays() []string {
	if m.open() {
		return []string{"leave; the visit stays open and can be gone on with", "close the visit with an outcome first"}
	}
	return []string{"leave"}
}

func (m Model) leaveActions() []action {
	return []action{
		on(pick(m.rows(), "choose"), func(m Model, msg tea.KeyMsg) (Model, tea.Cmd) { return m.goBy(keys.Index(msg)) }),
		on(keys.As(keys.Enter, "do the marked"), func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m.goBy(m.mark) }),
		on(keys.Up, move(-1)), on(keys.Down, move(1)),
		on(keys.Leave, func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m.leave() }),
	}
}

func (m Model) goBy(i int) (Model, tea.Cmd) {
	if i == 1 {
		return show(closing)(m, tea.KeyMsg{})
	}
	return m.leave()
}

func (m Model) leavingBody(w int) draw.Block {
	out := draw.Block{draw.Of(theme.Strong, " Leave?")}
	for i, s := range m.leaveWays() {
		out = append(out, listLine(i, i == m.mark, s, w))
	}
	return append(append(out, nil), draw.Wrap(theme.Dim, "Everything shown so far is on disk. Esc stays here.", w-2).Indent(1)...)
}

// listLine is a line with its digit.
func listLine(i int, marked bool, text string, w int) draw.Line {
	return append(draw.Numbered(i, marked), draw.Say(theme.Plain, text)).Cut(w)
}
