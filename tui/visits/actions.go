package visits

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/entry"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

type (
	action = keys.Action[Model]
	deed   = func(Model, tea.KeyMsg) (Model, tea.Cmd)
)

func on(b key.Binding, do deed) action { return action{Binding: b, Do: do} }

func (m Model) actions() []action {
	list := []action{
		on(keys.Up, move(-1)), on(keys.Down, move(1)),
		on(keys.Suspend, func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m, tea.Suspend }),
		on(keys.Back, back),
		on(keys.Leave, keys.GoTo[Model](keys.ToLeave)),
	}
	if m.helping {
		return append(list, on(keys.CloseHelp, back))
	}
	list = append(list, on(keys.Help, func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
		m.helping, m.scroll = true, 0
		return m, nil
	}))
	if m.opt.Save != nil {
		list = append(list, on(keys.Copy, copyOut))
	}
	if m.reading != nil {
		return append(list,
			on(keys.When(m.resumable(), keys.As(keys.Enter, m.resumeWord())), resume),
			on(keys.Report, report))
	}
	n := len(m.shown())
	digits := keys.As(keys.Digit, "read")
	digits.SetKeys(keys.Digit.Keys()[:min(n, 9)]...)
	return append(list,
		on(keys.When(n > 0, keys.As(keys.Enter, "read it")), func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m.open(m.mark) }),
		on(keys.When(n > 0, digits), func(m Model, msg tea.KeyMsg) (Model, tea.Cmd) { return m.open(keys.Index(msg)) }),
		on(keys.When(len(m.all) > 0, keys.Find), func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
			line := entry.Of("Find", m.find)
			m.field = &line
			return m, nil
		}),
		on(keys.When(n > 0, keys.Report), report))
}

// help lists the keys of the screen itself.
func (m Model) help(w int) draw.Block {
	m.helping = false
	return draw.KeyList(keys.Bindings(m.actions()), w)
}

func move(by int) deed {
	return func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
		if m.helping || m.reading != nil {
			m.scroll = max(0, min(m.scroll+by, m.rows()-1))
			return m, nil
		}
		m.mark = max(0, min(len(m.shown())-1, m.mark+by))
		return m, nil
	}
}

// rows of the text that is scrolled through.
func (m Model) rows() int {
	if m.helping {
		return len(m.help(m.w))
	}
	if m.story == nil {
		return 1
	}
	return len(m.storyText(max(1, m.w)))
}

func back(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	m.said, m.scroll = nil, 0
	switch {
	case m.helping:
		m.helping = false
	case m.reading != nil:
		m.reading, m.story = nil, nil
	case m.find != "":
		m.find, m.mark = "", 0
	default:
		return m, func() tea.Msg { return Left{} }
	}
	return m, nil
}

// marked is the visit that a key means.
func (m Model) marked() (visit.Summary, bool) {
	if m.reading != nil {
		return *m.reading, true
	}
	if list := m.shown(); m.mark < len(list) {
		return list[m.mark], true
	}
	return visit.Summary{}, false
}

func (m Model) open(i int) (Model, tea.Cmd) {
	list := m.shown()
	if i < 0 || i >= len(list) {
		return m, nil
	}
	v := list[i]
	m.mark, m.reading, m.story, m.scroll, m.said = i, &v, nil, 0, nil
	ctx, book := m.ctx, m.opt.Book
	return m, func() tea.Msg {
		s, err := book.Story(ctx, v.ID)
		return told{v.ID, s, err}
	}
}

func (m Model) resumable() bool { return m.story != nil && m.story.Refused == "" && m.opt.Busy == "" }

func (m Model) resumeWord() string {
	if m.reading != nil && m.reading.Outcome != "" {
		return "take it up again"
	}
	return "go on with it"
}

func resume(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	v, _ := m.marked()
	return m, func() tea.Msg { return Resume{v} }
}

func report(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	v, ok := m.marked()
	if !ok {
		return m, nil
	}
	m.said = draw.Line{draw.Mark('?'), draw.Say(theme.Plain, " writing the report of visit "+number(v))}
	ctx, book := m.ctx, m.opt.Book
	return m, func() tea.Msg {
		paths, err := book.Report(ctx, v.ID)
		return written{paths, err}
	}
}

// copyOut writes the whole list or story to a file, also what is not on the screen just now.
func copyOut(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	const wide, long = 100, 10_000
	body := m.listBody(wide, len(m.shown())+1)
	if m.story != nil && m.reading != nil {
		body = m.storyBody(wide, long)
	}
	text, save := body.Paint(theme.Theme{})+"\n", m.opt.Save
	return m, func() tea.Msg {
		path, err := save(text)
		return written{[]string{path}, err}
	}
}
