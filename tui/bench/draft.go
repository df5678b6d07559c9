package bench

import (
	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/faulttree/visit"
)

// Drafts is a session that keeps a note while it is being typed, so that neither a cut link nor a
// killed program loses half of one.
type Drafts interface {
	// Draft is what was being typed when the visit was last left, "" when nothing was.
	Draft() string
	// KeepDraft keeps text instead of what was kept before; "" forgets it. Calls may overtake each
	// other: the text with the highest number stays.
	KeepDraft(number int, text string) error
}

// draftOf is the note that was left half-typed.
func draftOf(s Session) string {
	if d, ok := s.(Drafts); ok {
		return d.Draft()
	}
	return ""
}

// keepDraft keeps what stands in the note field; where it cannot be kept the note itself is still
// stored when it is finished, so that is no error to stop at.
func (m Model) keepDraft(f field, text string) (Model, tea.Cmd) {
	d, ok := m.session.(Drafts)
	if !ok || f.kind != noteField {
		return m, nil
	}
	m.drafts++
	m.unfinished = text
	n := m.drafts
	return m, func() tea.Msg {
		_ = d.KeepDraft(n, text)
		return nil
	}
}

// storeNote stores a note; its draft is forgotten only once it is stored.
func (m Model) storeNote(f field) (Model, tea.Cmd) {
	m, forget := m.keepDraft(f, "")
	m, cmd := m.do(visit.AddNote{Text: f.Value()}, "note stored")
	return m, func() tea.Msg {
		msg := cmd()
		s, ok := msg.(stored)
		if !ok {
			return msg
		}
		if s.err != nil {
			s.note = f.Text() // to be tried again
		} else if forget != nil {
			forget()
		}
		return s
	}
}
