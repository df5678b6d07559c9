package bench

import (
	"cmp"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/entry"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

type action = keys.Action[Model]

// deed is what a key does.
type deed = func(Model, tea.KeyMsg) (Model, tea.Cmd)

func on(b key.Binding, do deed) action { return action{Binding: b, Do: do} }

// actions are the keys of what is shown now: what each does, its help, whether it may be pressed.
func (m Model) actions() []action {
	var own []action
	switch m.mode {
	case working:
		own = m.workActions()
	case skipping:
		own = m.skipActions()
	case listing, mending, opening:
		own = m.listActions()
	case closing:
		own = m.handOverActions()
	case leaving:
		own = m.leaveActions()
	case trending:
		own = []action{on(keys.As(keys.Trend, "1, 10, 60 min"), nextSpan), on(keys.Units, otherUnits)}
	case reading:
		own = []action{on(keys.Up, scroll(-1)), on(keys.Down, scroll(1)), on(keys.Units, otherUnits)}
	case teaching:
		own = m.teachActions()
	case choosing:
		own = m.roleActions()
	case helping:
		own = []action{on(keys.Up, scroll(-1)), on(keys.Down, scroll(1)), on(keys.CloseHelp, back)}
	case explaining:
		own = []action{on(keys.Up, scroll(-1)), on(keys.Down, scroll(1))}
	}
	return append(own, m.everywhere()...)
}

func (m Model) everywhere() []action {
	list := []action{on(keys.Suspend, func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m, tea.Suspend })}
	if m.opt.Save != nil {
		list = append(list, on(keys.Copy, copyOut))
	}
	if m.mode != working {
		list = append(list, on(keys.Back, back))
	}
	if m.mode != helping {
		list = append(list, on(keys.Help, show(helping)))
	}
	if m.mode != leaving {
		list = append(list, on(keys.Leave, show(leaving)))
	}
	return list
}

func (m Model) workActions() []action {
	if m.snap.Walk == nil {
		return append(m.pickActions(), m.lookActions()...)
	}
	n := len(m.answers())
	has := n > 0 && m.ready()
	w := m.walk()
	list := []action{
		on(keys.When(m.cautioned() && m.free() && !m.unread(m.workSize()), keys.Ack), acknowledge),
		on(keys.When(m.cautioned(), keys.As(keys.Down, "read on")), scroll(1)),
		on(keys.When(m.cautioned(), keys.As(keys.Up, "read back")), scroll(-1)),
		on(keys.When(has, m.digitBinding()), pressDigit),
		on(keys.When(m.enterWord() != "", keys.As(keys.Enter, cmp.Or(m.enterWord(), "take it"))), pressEnter),
		on(keys.When(has && !m.typed(), keys.Up), markAnswer(-1)),
		on(keys.When(has && !m.typed(), keys.Down), markAnswer(1)),
		on(keys.When(m.free() && !w.Done && (n > 0 || w.Offer.Remedy != nil), keys.Skip), show(skipping)),
		on(keys.When(m.free() && len(w.Path) > 0, keys.Undo), send(visit.UndoLast{}, "taken back")),
		on(keys.Why, show(explaining)),
		on(keys.When(m.free() && !w.Done && len(w.Suspects) > 0, keys.Remedy), show(mending)),
		on(keys.When(m.free() && w.Better != "", keys.Better), send(visit.TakeBetter{}, "the better step is taken")),
		on(keys.When(m.trial() != nil && m.free(), keys.As(keys.Back, "stop watching")), send(visit.EndTrial{}, "stopped watching")),
	}
	list = append(list, m.drillActions()...)
	list = append(list, m.lookActions()...)
	return append(list, on(m.openKey(), show(opening)))
}

// lookActions only look or write a note; they are there with and without a walk.
func (m Model) lookActions() []action {
	list := []action{
		on(keys.Findings, show(listing)),
		on(keys.When(m.free(), keys.Note), openNote),
		on(keys.Trend, show(trending)),
		on(keys.Lines, show(teaching)),
		on(keys.Units, otherUnits),
		on(keys.Pane, nextPane),
		on(keys.When(m.snap.Walk != nil && !m.closed(), keys.HandOver), show(closing)),
	}
	if m.opt.Report != nil {
		list = append(list, on(keys.When(m.closed(), keys.Report), func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m, m.report() }))
	}
	if m.opt.Visits {
		list = append(list, on(keys.Visits, keys.GoTo[Model](keys.ToVisits)))
	}
	if m.opt.Settings {
		list = append(list, on(keys.Settings, keys.GoTo[Model](keys.ToSettings)))
	}
	return list
}

func show(to mode) deed {
	return func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
		m.mode, m.mark, m.scroll = to, 0, 0
		if to == closing {
			m.hand, m.mark = m.proposed()
		}
		return m, nil
	}
}

func back(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	if m.mode == reading {
		m.mode, m.scroll = listing, 0
		return m, nil
	}
	if m.mode == choosing {
		m.mode, m.mark = teaching, m.column
		return m, nil
	}
	m.mode, m.mark, m.scroll = working, 0, 0
	return m, nil
}

func send(c visit.Command, said string) deed {
	return func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m.do(c, said) }
}

func acknowledge(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	return m.do(visit.Acknowledge{}, "the caution is on the record as read")
}

func scroll(by int) deed {
	return func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
		m.scroll = max(0, m.scroll+by)
		return m, nil
	}
}

func otherUnits(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	m.opt.Units.US = !m.opt.Units.US
	return m, nil
}

func nextPane(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	m.pane = (m.pane + 1) % paneCount
	return m, nil
}

func nextSpan(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	m.span = (m.span + 1) % len(spans)
	return m, nil
}

func openNote(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	m.mode = noting
	m.field = &field{kind: noteField, Line: entry.Of("Note", m.unfinished)}
	return m, nil
}

// skipped are the probes of the path that were passed over, newest first.
func (m Model) skipped() []faulttree.Taken {
	var out []faulttree.Taken
	open := map[string]bool{}
	path := m.walk().Path
	for i := len(path) - 1; i >= 0; i-- {
		s := path[i].Step
		if open[s.Probe] || s.Probe == "" {
			continue
		}
		open[s.Probe] = true
		switch s.Act {
		case faulttree.Skipped, faulttree.CannotTell, faulttree.NotSafe:
			out = append(out, path[i])
		}
	}
	return out
}

// copyOut writes what is on the screen to a file, without colours.
func copyOut(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	plain := m
	plain.opt.Theme.Profile = theme.None
	text, save, id := plain.paint(), m.opt.Save, m.opt.ID
	return m, func() tea.Msg {
		path, err := save(text)
		return saved{id: id, path: path, err: err}
	}
}
