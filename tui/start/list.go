package start

import (
	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/entry"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

func (m Model) listActions() []action {
	word := "open it"
	if m.asked {
		word = "yes, open it"
	}
	list := []action{
		{Binding: keys.When(len(m.items) > 0, keys.As(keys.Enter, word)), Do: take},
		{Binding: keys.When(len(m.items) > 0, keys.As(keys.Digit, "open")), Do: digit},
	}
	if m.opt.Visits {
		list = append(list, action{Binding: keys.Visits, Do: keys.GoTo[Model](keys.ToVisits)})
	}
	if m.opt.Settings {
		list = append(list, action{Binding: keys.Settings, Do: keys.GoTo[Model](keys.ToSettings)})
	}
	return list
}

func digit(m Model, msg tea.KeyMsg) (Model, tea.Cmd) {
	i := keys.Index(msg)
	if i < 0 || i >= len(m.items) {
		return m, nil
	}
	if i != m.mark {
		m.asked, m.sheet = false, Sheet{}
	}
	m.mark = i
	return take(m, msg)
}

// take hands the marked item back. What it lacks is asked for first: an address, then the installation;
// a warning stands last, right before the feed is opened.
func take(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	it := m.marked()
	m.status = ""
	switch {
	case it.Refused != "":
		m.status = it.Name + ": " + it.Refused
	case it.Type != "" && m.typed == "":
		m.mode, m.line = typing, entry.Of(it.Type, m.last[it.ID])
	case it.AskSheet && !m.asked:
		m.mode, m.sheetMark = choosingSheet, 0
	default:
		return m.with(Sheet{})
	}
	return m, nil
}

// typeAddress types a path or an address.
func (m Model) typeAddress(msg tea.KeyMsg) (Model, tea.Cmd) {
	line, end := m.line.Type(msg)
	m.line = line
	switch {
	case end == entry.Left:
		m.mode = listing
	case end == entry.Taken && line.Value() != "":
		m.mode, m.typed = listing, line.Value()
		m.last = map[string]string{m.marked().ID: m.typed}
		return take(m, msg)
	}
	return m, nil
}

// with opens the marked item for an installation, after its warning.
func (m Model) with(s Sheet) (Model, tea.Cmd) {
	it := m.marked()
	m.mode = listing
	if it.Warning != "" && !m.asked {
		m.asked, m.sheet = true, s
		return m, nil
	}
	if m.asked {
		s = m.sheet
	}
	if m.typed != "" {
		it.ID, it.Name = it.ID+m.typed, m.typed
	}
	if s != (Sheet{}) {
		it.Sheet = s
	}
	m.asked, m.sheet, m.typed = false, Sheet{}, ""
	return m, func() tea.Msg { return Chosen{it} }
}

func (m Model) listBody(w, h int) draw.Block {
	out := draw.Block{draw.Of(theme.Strong, " Where does the feed come from?")}
	if m.loading {
		return append(out, draw.Of(theme.Dim, " Looking for ports."))
	}
	rows, at := m.rows(w, false)
	if airy, where := m.rows(w, true); len(airy) < h {
		rows, at = airy, where
	}
	return append(out, draw.About(rows, at, max(1, h-1))...)
}

// rows are all lines with their headings, with blank rows between them where there is room; at is the row
// of the mark.
func (m Model) rows(w int, airy bool) (out draw.Block, at int) {
	kind := ""
	for i, it := range m.items {
		if it.Kind != kind {
			kind = it.Kind
			if airy && i > 0 {
				out = append(out, nil)
			}
			out = append(out, draw.Of(theme.Dim, " "+kind).Cut(w))
		}
		if i == m.mark {
			at = len(out)
		}
		out = append(out, m.row(it, i, w))
	}
	return out, at
}

func (m Model) row(it Item, i, w int) draw.Line {
	l := append(draw.Numbered(i, i == m.mark), draw.Of(theme.Strong, it.Name).Fit(min(30, max(8, w/3)))...)
	if it.Refused != "" {
		return append(l, draw.Say(theme.Plain, " "), draw.Mark(theme.MarkBad), draw.Say(theme.Plain, " "+it.Refused)).Cut(w)
	}
	return append(l, draw.Say(theme.Plain, "  "+it.What)).Cut(w)
}
