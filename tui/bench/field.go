package bench

import (
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/tui/entry"
)

type fieldKind uint8

const (
	numberField fieldKind = iota
	noteField
	followUpField
	lostField
)

// field is the line being typed, and what it is for.
type field struct {
	entry.Line
	kind fieldKind
}

func (m Model) typeKey(msg tea.KeyMsg) (Model, tea.Cmd) {
	f := *m.field
	line, end := f.Type(msg)
	f.Line = line
	switch end {
	case entry.Left:
		return m.closeField().keepDraft(f, "")
	case entry.Taken:
		return m.accept(f)
	}
	m.field = &f
	return m.keepDraft(f, f.Text())
}

func (m Model) closeField() Model {
	if m.mode == noting {
		m.mode = working
	}
	m.field = nil
	return m
}

func (m Model) accept(f field) (Model, tea.Cmd) {
	switch f.kind {
	case noteField:
		m = m.closeField()
		if f.Value() == "" {
			return m, nil
		}
		return m.storeNote(f)
	case followUpField:
		m.hand.followUp = f.Value()
		return m.closeField(), nil
	}
	if f.kind == lostField {
		m = m.closeField()
		if f.Value() == "" {
			return m, nil
		}
		return m.teach(func(d *dialect.Field) { d.Lost = append(slices.Clone(d.Lost), f.Value()) })
	}
	v, err := parseReading(f.Value(), f.Unit)
	if err != nil {
		f.Wrong = err.Error()
		m.field = &f
		return m, nil
	}
	if !m.ready() || !m.typed() {
		return m.closeField(), nil
	}
	m.field = nil
	return m.say("", &v)
}
