// Package start is the first screen: where does the feed come from. Enter on the first line gets a
// newcomer going.
package start

import (
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// Item is one place a feed may come from, or a visit to go on with.
type Item struct {
	// ID is handed back in Chosen; it means nothing to this screen.
	ID string
	// Kind is the heading under which the item stands: "Serial ports", "Recent visits", ...
	Kind string
	Name string
	// What says more in a few words: the USB name, the customer's words of a fault.
	What string
	// Refused says why it cannot be opened and what to do; the item is then shown, not offered.
	Refused string
	// Warning is said before it is opened: "opening may restart the board and switch its pump".
	Warning string
}

// Chosen says that an item was taken.
type Chosen struct{ Item Item }

// Leave says that the screen was left.
type Leave struct{}

// Options of the screen.
type Options struct {
	Theme   theme.Theme
	Version string
	// Visits and Settings offer the keys to those screens.
	Visits, Settings bool
}

// Model is the screen's state.
type Model struct {
	opt     Options
	items   []Item
	loading bool
	asked   bool // the warning of the marked item is shown
	helping bool
	w, h    int
	mark    int
	status  string
}

// New is a start screen of some items; nil says that they are still being looked for.
func New(items []Item, opt Options) Model {
	return Model{opt: opt, items: items, loading: items == nil}
}

// With shows other items, the mark staying at the item it was at.
func (m Model) With(items []Item) Model {
	at := m.marked().ID
	m.items, m.loading = items, false
	m.mark = min(m.mark, max(0, len(items)-1))
	for i, it := range items {
		if it.ID == at && at != "" {
			m.mark = i
		}
	}
	return m
}

// In draws in another theme.
func (m Model) In(t theme.Theme) Model {
	m.opt.Theme = t
	return m
}

// Say shows what went wrong.
func (m Model) Say(s string) Model {
	m.status = s
	return m
}

func (m Model) marked() Item {
	if m.mark < len(m.items) {
		return m.items[m.mark]
	}
	return Item{}
}

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = msg.Width, msg.Height
	case tea.KeyMsg:
		next, cmd, _ := keys.Dispatch(m, msg, m.actions())
		return next, cmd
	}
	return m, nil
}

type action = keys.Action[Model]

func (m Model) actions() []action {
	word := "open it"
	if m.asked {
		word = "yes, open it"
	}
	move := func(by int) func(Model, tea.KeyMsg) (Model, tea.Cmd) {
		return func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
			m.mark = max(0, min(len(m.items)-1, m.mark+by))
			m.asked, m.status = false, ""
			return m, nil
		}
	}
	return []action{
		{Binding: keys.When(len(m.items) > 0, keys.As(keys.Enter, word)), Do: take},
		{Binding: keys.When(len(m.items) > 0, keys.As(keys.Digit, "open")), Do: digit},
		{Binding: keys.Up, Do: move(-1)},
		{Binding: keys.Down, Do: move(1)},
		{Binding: keys.When(m.asked || m.helping, keys.Back), Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
			m.asked, m.helping = false, false
			return m, nil
		}},
		{Binding: keys.When(m.opt.Visits, keys.Visits), Do: keys.GoTo[Model](keys.ToVisits)},
		{Binding: keys.When(m.opt.Settings, keys.Settings), Do: keys.GoTo[Model](keys.ToSettings)},
		{Binding: keys.Help, Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { m.helping = !m.helping; return m, nil }},
		{Binding: keys.Leave, Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m, func() tea.Msg { return Leave{} } }},
		{Binding: keys.Suspend, Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m, tea.Suspend }},
	}
}

func digit(m Model, msg tea.KeyMsg) (Model, tea.Cmd) {
	i := keys.Index(msg)
	if i < 0 || i >= len(m.items) {
		return m, nil
	}
	m.mark, m.asked = i, false
	return take(m, msg)
}

// take hands the marked item back; one with a warning is asked about first.
func take(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	it := m.marked()
	m.status = ""
	switch {
	case it.Refused != "":
		m.status = it.Name + ": " + it.Refused
		return m, nil
	case it.Warning != "" && !m.asked:
		m.asked = true
		return m, nil
	}
	m.asked = false
	return m, func() tea.Msg { return Chosen{it} }
}

// View paints the screen.
func (m Model) View() string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	foot := draw.Block{m.foot(), m.help()}
	body := m.body(max(0, m.h-3))
	out := append(draw.Block{m.head()}, body...).Fit(m.w, max(0, m.h-len(foot)))
	return append(out, foot...).Fit(m.w, m.h).Paint(m.opt.Theme)
}

func (m Model) head() draw.Line {
	return draw.Ends(draw.Of(theme.Strong, " tankhand"), draw.Of(theme.Dim, m.opt.Version+" "), m.w)
}

func (m Model) body(h int) draw.Block {
	if m.helping {
		return m.keysBody()
	}
	out := draw.Block{draw.Of(theme.Strong, " Where does the feed come from?")}
	if m.loading {
		return append(out, draw.Of(theme.Dim, " Looking for ports."))
	}
	rows, at := m.rows()
	room := max(1, h-1)
	from := max(0, min(at-room/2, len(rows)-room))
	return append(out, rows[from:min(len(rows), from+room)]...)
}

// rows are all lines with their headings; at is the row of the mark.
func (m Model) rows() (out draw.Block, at int) {
	kind := ""
	for i, it := range m.items {
		if it.Kind != kind {
			kind = it.Kind
			if len(out) > 0 {
				out = append(out, nil)
			}
			out = append(out, draw.Of(theme.Dim, " "+kind))
		}
		if i == m.mark {
			at = len(out)
		}
		out = append(out, m.line(it, i))
	}
	return out, at
}

func (m Model) line(it Item, i int) draw.Line {
	l := draw.Line{draw.Say(theme.Plain, " ")}
	if i == m.mark {
		l = draw.Line{draw.Mark(theme.MarkHere)}
	}
	n := "   "
	if i < 9 {
		n = fmt.Sprintf(" %d ", i+1)
	}
	l = append(l, draw.Say(theme.Key, n))
	l = append(l, draw.Of(theme.Strong, it.Name).Fit(min(26, max(8, m.w/3)))...)
	if it.Refused != "" {
		return append(l, draw.Say(theme.Plain, " "), draw.Mark(theme.MarkBad), draw.Say(theme.Plain, " "+it.Refused)).Cut(m.w)
	}
	return append(l, draw.Say(theme.Plain, "  "+it.What)).Cut(m.w)
}

func (m Model) foot() draw.Line {
	switch {
	case m.status != "":
		return draw.Line{draw.Mark(theme.MarkBad), draw.Say(theme.Bad, " "+m.status)}.Cut(m.w)
	case m.asked:
		return draw.Line{draw.Say(theme.Alarm, " CAUTION "), draw.Say(theme.Bad, " ! "), draw.Say(theme.Plain, m.marked().Warning)}.Cut(m.w)
	}
	return draw.Rule(m.w)
}

func (m Model) help() draw.Line { return draw.Keys(keys.Bindings(m.actions()), m.w) }

func (m Model) keysBody() draw.Block {
	out := draw.Block{draw.Of(theme.Strong, " Keys here")}
	for _, a := range m.actions() {
		out = append(out, append(draw.Of(theme.Key, "   "+a.Help().Key).Fit(12), draw.Say(theme.Plain, a.Help().Desc)).Cut(m.w))
	}
	return out
}

// Opening is the screen while the feed of a choice is being opened.
func (m Model) Opening(name string) string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	keysRow := draw.Line{draw.Say(theme.Key, " Esc"), draw.Say(theme.Plain, " back "), draw.Say(theme.Key, " q"), draw.Say(theme.Plain, " leave ")}
	out := draw.Block{m.head(), nil, draw.Of(theme.Plain, " Opening "+name)}.Fit(m.w, max(0, m.h-1))
	return append(out, keysRow.Cut(m.w)).Fit(m.w, m.h).Paint(m.opt.Theme)
}
