package bench

import (
	"fmt"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// question is a probe that may be asked instead of the offered step.
type question struct {
	title string
	tail  string
	ask   visit.Command
	said  string
}

// questions are what may be asked instead of the offered step: the answer that does not fit the rest, what
// was passed over, then the probes not asked yet, the most telling first.
func (m Model) questions() (out []question) {
	w := m.walk()
	if o := w.Odd; o != nil && !o.Feed {
		out = append(out, question{fmt.Sprintf("%s %s", o.Ask, o.Answer), "does not fit", visit.AskProbe{Probe: o.Probe}, "asked again"})
	}
	for _, t := range m.skipped() {
		out = append(out, question{t.Title, "", visit.BringBackProbe{Probe: t.Step.Probe}, "open again"})
	}
	for _, q := range w.Questions {
		p := m.opt.Base.Probes[q.Probe]
		if p == nil || w.Offer.Probe == p {
			continue
		}
		out = append(out, question{p.Ask, fmt.Sprintf("%.1f bit %3.0f min", q.Bits, q.Minutes), visit.AskProbe{Probe: q.Probe}, "your own choice"})
	}
	return out
}

// openKey opens the list of questions.
func (m Model) openKey() key.Binding {
	b := keys.Open
	if len(m.questions()) > len(m.skipped()) {
		b = keys.As(b, "ask another")
	}
	return keys.When(len(m.questions()) > 0, b)
}

// askInstead asks the marked question.
func (m Model) askInstead(i int) (Model, tea.Cmd) {
	if !m.free() {
		return m, nil
	}
	m.mode = working
	q := m.questions()[i]
	return m.do(q.ask, q.said)
}

// openBody lists the questions; the marked one is always in sight.
func (m Model) openBody(w, h int) draw.Block {
	list := m.questions()
	out := draw.Block{draw.Ends(draw.Of(theme.Strong, " Ask another, or open a skipped step again"), draw.Of(theme.Dim, "what it tells "), w)}
	room := max(1, h-1)
	from := max(0, min(m.mark-room/2, len(list)-room))
	for i := from; i < min(len(list), from+room); i++ {
		tail := draw.Of(theme.Dim, " "+list[i].tail+" ")
		out = append(out, draw.Ends(listLine(i, i == m.mark, list[i].title, max(1, w-tail.Width())), tail, w))
	}
	return out
}

// oddLine says which answer does not fit the rest; nothing while none stands out.
func (m Model) oddLine(w int) draw.Block {
	o := m.walk().Odd
	if o == nil {
		return nil
	}
	return draw.Block{draw.Line{draw.Mark(theme.MarkUnknown), draw.Say(theme.Unknown, fmt.Sprintf(" does not fit the rest: %s %s", o.Ask, o.Answer))}.Cut(w)}
}

// oddWhy says it whole, with its chance and what to do.
func (m Model) oddWhy(w int) draw.Block {
	o := m.walk().Odd
	if o == nil {
		return nil
	}
	text := o.String()
	if !o.Feed {
		text += " (o)"
	}
	return append(draw.Wrap(theme.Unknown, "? One answer "+text, w-2).Indent(1), nil)
}
