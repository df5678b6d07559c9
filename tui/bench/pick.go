package bench

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

type finding = diagnostics.Finding

// pick is the digits for a list of n.
func pick(n int, word string) key.Binding {
	n = min(n, 9)
	b := keys.As(keys.Digit, word)
	b.SetKeys(keys.Digit.Keys()[:n]...)
	if n == 1 {
		b.SetHelp("1", word)
	} else if n > 0 {
		b.SetHelp("1-"+string(rune('0'+n)), word)
	}
	return keys.When(n > 0, b)
}

// complaint is a line of the picker.
type complaint struct {
	faulttree.Sighting
	title, opening string
}

// complaints lists what a customer may say; those that the checks see come first.
func (m Model) complaints() []complaint {
	var out []complaint
	for _, s := range m.snap.Seen {
		c := complaint{Sighting: s, title: strings.ReplaceAll(s.Complaint, "-", " ")}
		if m.opt.Base != nil {
			for _, k := range m.opt.Base.Complaints {
				if k.ID == s.Complaint {
					c.title, c.opening = k.Title, k.Opening
				}
			}
		}
		out = append(out, c)
	}
	slices.SortStableFunc(out, func(a, b complaint) int { return order(b) - order(a) })
	return out
}

func order(c complaint) int {
	if c.Seen {
		return 1
	}
	return 0
}

func (m Model) pickActions() []action {
	free := m.free() && m.rows() > 0
	return []action{
		on(keys.When(free, pick(m.rows(), "choose")), func(m Model, msg tea.KeyMsg) (Model, tea.Cmd) { return m.complain(keys.Index(msg)) }),
		on(keys.When(free, keys.As(keys.Enter, "start with it")), func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m.complain(m.mark) }),
		on(keys.When(free, keys.Up), move(-1)), on(keys.When(free, keys.Down), move(1)),
	}
}

func (m Model) complain(i int) (Model, tea.Cmd) {
	list := m.complaints()
	if i < 0 || i >= len(list) {
		return m, nil
	}
	m.mark = 0
	return m.do(visit.SetComplaint{ID: list[i].Complaint, Words: list[i].opening}, "the visit has begun: "+list[i].title)
}

func (m Model) pickBody(w, h int) draw.Block {
	out := draw.Block{draw.Of(theme.Strong, " What does the customer say?")}
	list := m.complaints()
	if len(list) == 0 {
		return append(out, draw.Wrap(theme.Dim, "Listening to the feed first. What the checks see will be listed here.", w-2).Indent(1)...)
	}
	each := 1
	if m.opt.Base != nil && h > 2*len(list) {
		each = 2
	}
	from := max(0, min(m.mark-(h-2)/each/2, len(list)-(h-2)/each))
	for i := from; i < len(list) && len(out)+each <= h; i++ {
		out = append(out, pickLine(list[i], i, i == m.mark, w))
		if each == 2 {
			out = append(out, draw.Of(theme.Dim, "      "+list[i].opening).Cut(w))
		}
	}
	return out
}

func pickLine(c complaint, i int, marked bool, w int) draw.Line {
	l := draw.Numbered(i, marked)
	switch {
	case c.Seen:
		l = append(l, draw.Mark(theme.MarkBad))
	case c.TooShort:
		l = append(l, draw.Mark(theme.MarkUnknown))
	default:
		l = append(l, draw.Say(theme.Plain, " "))
	}
	l = append(l, draw.Say(theme.Strong, " "+c.title))
	switch {
	case w < 60:
		return l.Cut(w)
	case c.Seen:
		return draw.Ends(l, draw.Of(theme.Bad, "seen: "+strings.ReplaceAll(strings.Join(c.Because, ", "), "-", " ")), w)
	case c.TooShort:
		return draw.Ends(l, draw.Of(theme.Dim, "needs a longer feed"), w)
	}
	return l.Cut(w)
}
