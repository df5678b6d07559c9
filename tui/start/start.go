// Package start is the first screen: where does the feed come from, and which installation is it. Enter
// on the first line gets a newcomer going; what is missing is said, not demanded.
package start

import (
	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/entry"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// Item is one place a feed may come from, or a visit to go on with.
type Item struct {
	// ID is handed back in Chosen; it means nothing to this screen.
	ID string
	// Kind is the heading under which the item stands: "Serial ports", "Visits still open", ...
	Kind string
	Name string
	// What says more in a few words: the USB name, the customer's words of a fault.
	What string
	// Refused says why it cannot be opened and what to do; the item is then shown, not offered.
	Refused string
	// Warning is said before it is opened: "opening may restart the board and switch its pump".
	Warning string
	// Type names what has to be typed first, a path or an address; it is put behind the ID.
	Type string
	// AskSheet: which installation it is must be chosen.
	AskSheet bool
	// Sheet is the installation; zero: the feed's own, or none.
	Sheet Sheet
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
	// KeepSheet keeps a new site sheet and returns where; nil: it is used once.
	KeepSheet func(name, text string) (path string, err error)
	// Save writes the text of the screen to a file and returns its path; nil: there is no such key.
	Save func(text string) (path string, err error)
}

// mode is what the screen asks.
type mode uint8

const (
	listing mode = iota
	typing       // a path or an address
	choosingSheet
	asking // the questions of a new sheet
	helping
)

// Model is the screen's state. It is a value: Update returns the next one.
type Model struct {
	opt       Options
	items     []Item
	known     []Sheet
	loading   bool
	mode      mode
	helped    mode  // whose keys are listed
	asked     bool  // the warning of the marked item is shown
	sheet     Sheet // that goes with it
	w, h      int
	mark      int
	sheetMark int
	scroll    int
	line      entry.Line
	typed     string            // behind the marked item
	last      map[string]string // what was typed before, by item: a slip is mended, not typed anew
	quick     quick
	status    string
}

// New is a start screen of some items; nil says that they are still being looked for.
func New(items []Item, opt Options) Model {
	return Model{opt: opt, items: items, loading: items == nil}
}

// With shows other items, the mark staying at the item it was at; at first it stands at what can be opened.
func (m Model) With(items []Item, known ...Sheet) Model {
	was := m.marked()
	m.items, m.known, m.loading = items, known, false
	m.mark = min(m.mark, max(0, len(items)-1))
	for i := len(items) - 1; i >= 0 && was.ID == ""; i-- {
		if items[i].Refused == "" {
			m.mark = i
		}
	}
	for i, it := range items {
		if it.ID == was.ID && it.Kind == was.Kind && was.ID != "" {
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
	case keys.Copied:
		m.status = msg.Words()
	case tea.KeyMsg:
		switch {
		case m.mode == typing:
			return m.typeAddress(msg)
		case m.mode == asking && m.typesAnswer():
			return m.typeQuick(msg)
		}
		next, cmd, _ := keys.Dispatch(m, msg, m.actions())
		return next, cmd
	}
	return m, nil
}

// typesAnswer tells whether the question is answered by typing.
func (m Model) typesAnswer() bool {
	ask, _ := m.quick.next()
	return len(choices[ask.Path]) == 0
}

type action = keys.Action[Model]

func (m Model) actions() []action {
	list := []action{
		{Binding: keys.Up, Do: move(-1)},
		{Binding: keys.Down, Do: move(1)},
		{Binding: keys.When(m.asked || m.mode != listing, keys.Back), Do: back},
		{Binding: keys.Leave, Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m, func() tea.Msg { return Leave{} } }},
		{Binding: keys.Suspend, Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m, tea.Suspend }},
	}
	if m.opt.Save != nil {
		list = append(list, action{Binding: keys.Copy, Do: keys.CopyOut(func(m Model) string { return m.In(theme.Theme{}).View() }, m.opt.Save)})
	}
	switch m.mode {
	case helping:
		return append(list, action{Binding: keys.CloseHelp, Do: back})
	case listing:
		list = append(m.listActions(), list...)
	case choosingSheet:
		list = append(m.sheetActions(), list...)
	case asking:
		return append(m.quickActions(), list...)
	}
	return append(list, action{Binding: keys.Help, Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
		m.helped, m.mode, m.scroll = m.mode, helping, 0
		return m, nil
	}})
}

func move(by int) func(Model, tea.KeyMsg) (Model, tea.Cmd) {
	step := func(at, n int) int { return max(0, min(n-1, at+by)) }
	return func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
		switch m.mode {
		case helping:
			m.scroll = max(0, m.scroll+by)
		case choosingSheet:
			m.sheetMark = step(m.sheetMark, len(m.sheets()))
		case asking:
			ask, _ := m.quick.next()
			m.quick.mark = step(m.quick.mark, len(choices[ask.Path]))
		case listing:
			m.mark = step(m.mark, len(m.items))
			m.asked, m.status, m.typed, m.sheet = false, "", "", Sheet{}
		}
		return m, nil
	}
}

func back(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	switch m.mode {
	case asking:
		return m.quickBack(), nil
	case helping:
		m.mode = m.helped
		return m, nil
	}
	m.mode, m.asked, m.typed, m.sheet = listing, false, "", Sheet{}
	return m, nil
}

// View paints the screen.
func (m Model) View() string {
	row := draw.Keys(keys.Bindings(m.actions()), m.w)
	if m.mode == typing || m.mode == asking && m.typesAnswer() {
		row = entry.Keys(m.w)
	}
	return draw.Page{Head: m.head(), Body: m.body, Status: m.foot(), Keys: row}.Paint(m.w, m.h, m.opt.Theme)
}

func (m Model) head() draw.Line {
	return draw.Ends(draw.Of(theme.Strong, " tankhand"), draw.Of(theme.Dim, m.opt.Version+" "), m.w)
}

func (m Model) body(w, h int) draw.Block {
	switch m.mode {
	case helping:
		m.mode = m.helped
		return draw.Window(draw.KeyList(keys.Bindings(m.actions()), w), m.scroll, h)
	case choosingSheet:
		return m.sheetBody(w, h)
	case asking:
		return m.quickBody(w)
	case typing:
		return append(m.listBody(w, h-1).Fit(w, max(0, h-1)), m.line.Draw(w))
	}
	return m.listBody(w, h)
}

func (m Model) foot() draw.Line {
	if m.asked {
		return draw.Line{draw.Say(theme.Alarm, " CAUTION "), draw.Say(theme.Bad, " ! "), draw.Say(theme.Plain, m.marked().Warning)}
	}
	return draw.Wrong(m.status)
}

// Opening is the screen while the feed of a choice is being opened.
func (m Model) Opening(it Item) string {
	keysRow := draw.Line{draw.Say(theme.Key, " Esc"), draw.Say(theme.Plain, " back "), draw.Say(theme.Key, " q"), draw.Say(theme.Plain, " leave ")}
	body := func(w, _ int) draw.Block {
		out := draw.Block{nil, draw.Of(theme.Plain, " Opening "+it.Name).Cut(w)}
		if it.Warning == "" {
			return out
		}
		out = append(out, nil, draw.Line{draw.Say(theme.Alarm, " CAUTION "), draw.Say(theme.Bad, " !")})
		return append(out, draw.Wrap(theme.Plain, it.Warning, w-2).Indent(1)...)
	}
	return draw.Page{Head: m.head(), Body: body, Keys: keysRow.Cut(m.w)}.Paint(m.w, m.h, m.opt.Theme)
}
