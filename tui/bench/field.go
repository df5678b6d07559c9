package bench

import (
	"slices"
	"strings"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/theme"
)

type fieldKind uint8

const (
	numberField fieldKind = iota
	noteField
	followUpField
	lostField
)

// longest is how many characters a field takes: enough for a note, too few to hurt a store.
const longest = 500

// field is one line being typed. While it is open every printable key types.
type field struct {
	kind        fieldKind
	label, unit string
	text        []rune
	wrong       string // why it was not taken
}

func (f field) value() string { return strings.TrimSpace(string(f.text)) }

// typeKey edits a copy: a Model is a value, and an older one may still be looked at.
func (m Model) typeKey(msg tea.KeyMsg) (Model, tea.Cmd) {
	f := *m.field
	f.text = append([]rune{}, f.text...)
	f.wrong = ""
	switch msg.Type {
	case tea.KeyEsc, tea.KeyCtrlC:
		return m.closeField().keepDraft(f, "")
	case tea.KeyEnter:
		return m.accept(f)
	case tea.KeyBackspace:
		f.text = f.text[:max(0, len(f.text)-1)]
	case tea.KeyCtrlU:
		f.text = nil
	case tea.KeySpace:
		f.text = append(f.text, ' ')
	case tea.KeyRunes:
		for _, r := range msg.Runes {
			if unicode.IsPrint(r) && len(f.text) < longest {
				f.text = append(f.text, r)
			}
		}
	}
	m.field = &f
	return m.keepDraft(f, string(f.text))
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
		if f.value() == "" {
			return m, nil
		}
		return m.storeNote(f)
	case followUpField:
		m.hand.followUp = f.value()
		return m.closeField(), nil
	}
	if f.kind == lostField {
		m = m.closeField()
		if f.value() == "" {
			return m, nil
		}
		return m.teach(func(d *dialect.Field) { d.Lost = append(slices.Clone(d.Lost), f.value()) })
	}
	v, err := parseReading(f.value(), f.unit)
	if err != nil {
		f.wrong = err.Error()
		m.field = &f
		return m, nil
	}
	if !m.ready() || !m.typed() {
		return m.closeField(), nil
	}
	m.field = nil
	return m.say("", &v)
}

// line draws the field.
func (f field) line(w int) draw.Line {
	head := draw.Line{draw.Say(theme.Strong, " "+f.label+": "), draw.Say(theme.Key, "[ ")}
	tail := draw.Line{draw.Say(theme.Key, "_ ]"), draw.Say(theme.Plain, " "+f.unit)}
	if f.wrong != "" {
		tail = append(tail, draw.Say(theme.Bad, "  ! "+f.wrong))
	}
	text := f.text[max(0, len(f.text)-max(1, w)):] // no character is narrower than a column
	for len(text) > 0 && draw.Plain(string(text)).Width() > max(1, w-head.Width()-len(f.unit)-6) {
		text = text[1:]
	}
	head = append(head, draw.Say(theme.Plain, string(text)))
	return append(head, tail...).Cut(w)
}
