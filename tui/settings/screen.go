package settings

import (
	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/entry"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// Left says that the screen is done.
type Left struct{}

// Changed says that settings were chosen and kept.
type Changed struct{ Settings Settings }

// Options of the screen.
type Options struct {
	Theme theme.Theme
	// Path is the file they are kept in.
	Path string
	// Wrong is what was wrong with the file when it was read; nil: nothing.
	Wrong error
	// Save writes the text of the screen to a file and returns its path; nil: there is no such key.
	Save func(text string) (path string, err error)
}

// Model is the screen's state. It is a value: Update returns the next one.
type Model struct {
	opt     Options
	now     Settings
	mark    int
	field   *entry.Line
	helping bool
	scroll  int
	said    draw.Line
	w, h    int
}

// New is the screen of some settings.
func New(now Settings, opt Options) Model {
	m := Model{now: now, opt: opt}
	if opt.Wrong != nil {
		m.said = draw.Wrong("the file of the settings has mistakes; the first change puts it aside and writes a new one")
	}
	return m
}

// With draws in another theme.
func (m Model) With(t theme.Theme) Model {
	m.opt.Theme = t
	return m
}

type action = keys.Action[Model]

func (m Model) actions() []action {
	move := func(by int) func(Model, tea.KeyMsg) (Model, tea.Cmd) {
		return func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
			if m.helping {
				m.scroll = max(0, m.scroll+by)
				return m, nil
			}
			m.mark = max(0, min(len(choices)-1, m.mark+by))
			return m, nil
		}
	}
	word := "next word"
	if len(choices[m.mark].Words) == 0 {
		word = "type it"
	}
	list := []action{
		{Binding: keys.Up, Do: move(-1)}, {Binding: keys.Down, Do: move(1)},
		{Binding: keys.Back, Do: back},
		{Binding: keys.Leave, Do: keys.GoTo[Model](keys.ToLeave)},
		{Binding: keys.Suspend, Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m, tea.Suspend }},
	}
	if m.opt.Save != nil {
		list = append(list, action{Binding: keys.Copy, Do: keys.CopyOut(func(m Model) string { return m.With(theme.Theme{}).View() }, m.opt.Save)})
	}
	if m.helping {
		return append(list, action{Binding: keys.CloseHelp, Do: back})
	}
	return append(list,
		action{Binding: keys.As(keys.Enter, word), Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m.change(m.mark) }},
		action{Binding: keys.As(keys.Digit, "change"), Do: func(m Model, msg tea.KeyMsg) (Model, tea.Cmd) { return m.change(keys.Index(msg)) }},
		action{Binding: keys.Help, Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
			m.helping, m.scroll = true, 0
			return m, nil
		}})
}

// help lists the keys of the screen itself.
func (m Model) help(w int) draw.Block {
	m.helping = false
	return draw.KeyList(keys.Bindings(m.actions()), w)
}

func back(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	if m.helping {
		m.helping = false
		return m, nil
	}
	return m, func() tea.Msg { return Left{} }
}

// change takes the next word of a choice, or opens a line to type in.
func (m Model) change(i int) (Model, tea.Cmd) {
	if i < 0 || i >= len(choices) {
		return m, nil
	}
	m.mark = i
	c := choices[i]
	if len(c.Words) == 0 {
		line := entry.Of(c.Label, c.Get(m.now))
		m.field = &line
		return m, nil
	}
	return m.keep(c.Set(m.now, c.Next(m.now)))
}

// keep writes at once: there is no key to forget.
func (m Model) keep(next Settings) (Model, tea.Cmd) {
	aside, err := Save(m.opt.Path, next)
	if err != nil {
		m.said = draw.Wrong(err.Error())
		return m, nil
	}
	m.now, m.opt.Wrong = next, nil
	m.said = draw.Done("kept in " + m.opt.Path)
	if aside != "" {
		m.said = draw.Done("kept; the file with the mistakes is now " + aside)
	}
	return m, func() tea.Msg { return Changed{next} }
}

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = msg.Width, msg.Height
	case keys.Copied:
		m.said = draw.Done(msg.Words())
		if msg.Err != nil {
			m.said = draw.Wrong(msg.Words())
		}
	case tea.KeyMsg:
		if m.field != nil {
			return m.typing(msg)
		}
		next, cmd, _ := keys.Dispatch(m, msg, m.actions())
		return next, cmd
	}
	return m, nil
}

func (m Model) typing(msg tea.KeyMsg) (Model, tea.Cmd) {
	line, end := m.field.Type(msg)
	switch end {
	case entry.Taken:
		m.field = nil
		return m.keep(choices[m.mark].Set(m.now, line.Value()))
	case entry.Left:
		m.field = nil
		return m, nil
	}
	m.field = &line
	return m, nil
}

// View paints the screen.
func (m Model) View() string {
	row := draw.Keys(keys.Bindings(m.actions()), m.w)
	if m.field != nil {
		row = entry.Keys(m.w)
	}
	page := draw.Page{Head: draw.Of(theme.Strong, " tankhand  settings"), Body: m.body, Status: m.said, Keys: row}
	return page.Paint(m.w, m.h, m.opt.Theme)
}

func (m Model) body(w, h int) draw.Block {
	if m.helping {
		return draw.Window(m.help(w), m.scroll, h)
	}
	foot := m.foot(w)
	if h < len(foot)+4 {
		foot = foot[:min(len(foot), 2)]
	}
	var list draw.Block
	for i, c := range choices {
		list = append(list, m.line(i, c, w))
	}
	out := draw.About(list, m.mark, max(1, h-len(foot)))
	return append(out, foot...)
}

func (m Model) line(i int, c Choice, w int) draw.Line {
	l := draw.Numbered(i, i == m.mark)
	l = append(l, draw.Of(theme.Plain, c.Label).Fit(min(30, w/2))...)
	word, ink := c.Get(m.now), theme.Strong
	if word == "" {
		word, ink = "not given", theme.Dim
	}
	return append(l, draw.Say(ink, word)).Cut(w)
}

// foot says what the marked choice is for and what may be chosen.
func (m Model) foot(w int) draw.Block {
	c := choices[m.mark]
	out := draw.Block{nil}
	if m.field != nil {
		out = append(out, m.field.Draw(w))
	}
	out = append(out, draw.Wrap(theme.Plain, c.Help, w-2).Indent(1)...)
	if len(c.Words) > 0 && m.field == nil {
		l := draw.Of(theme.Dim, " one of: ")
		for i, word := range c.Words {
			if i > 0 {
				l = append(l, draw.Say(theme.Dim, ", "))
			}
			ink := theme.Plain
			if word == c.Get(m.now) {
				l, ink = append(l, draw.Mark(theme.MarkHere), draw.Say(theme.Plain, " ")), theme.Strong
			}
			l = append(l, draw.Say(ink, word))
		}
		out = append(out, l.Cut(w))
	}
	return append(append(out, nil), draw.Wrap(theme.Dim, "Kept at once; units and drawing change now, the rest from the next visit on.", w-2).Indent(1)...)
}
