package bench

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/entry"
	"example.org/tankhand/tui/keys"
)

func (m Model) digitBinding() key.Binding {
	if m.typed() {
		b := keys.As(keys.Digit, "type the reading")
		b.SetKeys("0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "-", ".", ",")
		b.SetHelp("0-9", "type the reading")
		return b
	}
	n := min(len(m.answers()), 9)
	b := keys.Digit
	b.SetKeys(keys.Digit.Keys()[:n]...)
	if n > 0 {
		b.SetHelp("1-"+string(rune('0'+n)), "answer")
	}
	return b
}

// enterWord says what Enter does with the offered step, "" when there is nothing to do.
func (m Model) enterWord() string {
	o, t := m.walk().Offer, m.trial()
	switch {
	case m.closed():
		return m.leaveWord()
	case m.walk().Done, o.Done, o.HandOn:
		return "to the hand-over"
	case !m.ready():
		return ""
	case o.Remedy != nil:
		return "done, now prove it"
	case t != nil && t.Answer != "" && m.answer < 0:
		return "accept what the feed says"
	case m.canBegin() && m.answer < 0:
		return "begin"
	case m.typed():
		return "type the reading"
	case m.answer >= 0:
		return "take the marked answer"
	}
	return ""
}

// canBegin: a prompted probe that the feed can be watched for, and nothing runs yet.
func (m Model) canBegin() bool {
	p := m.walk().Offer.Probe
	return p != nil && p.Trial != "" && m.trial() == nil
}

func pressEnter(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	o, t := m.walk().Offer, m.trial()
	switch {
	case m.closed():
		return m.leave()
	case m.walk().Done, o.Done, o.HandOn:
		return show(closing)(m, tea.KeyMsg{})
	case o.Remedy != nil:
		return m.do(visit.TryRemedy{Cause: o.Remedy.ID}, "on the record: the remedy was done")
	case t != nil && t.Answer != "" && m.answer < 0:
		return m.say(t.Answer, nil)
	case m.canBegin() && m.answer < 0:
		return m.do(visit.BeginTrial{}, "watching the feed")
	case m.typed():
		return m.openNumber(""), nil
	}
	return m.say(m.answers()[m.answer], nil)
}

func pressDigit(m Model, msg tea.KeyMsg) (Model, tea.Cmd) {
	if m.typed() {
		return m.openNumber(msg.String()), nil
	}
	if i := keys.Index(msg); i >= 0 && i < len(m.answers()) {
		return m.say(m.answers()[i], nil)
	}
	return m, nil
}

// say answers the offered probe; a meter reading is classified by the session.
func (m Model) say(answer string, value *float64) (Model, tea.Cmd) {
	return m.do(visit.AnswerProbe{Probe: m.walk().Offer.Probe.ID, Answer: answer, Value: value}, "stored")
}

func markAnswer(by int) func(Model, tea.KeyMsg) (Model, tea.Cmd) {
	return func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
		n := len(m.answers())
		switch {
		case m.answer < 0 && by < 0:
			m.answer = n - 1
		default:
			m.answer = max(0, min(n-1, m.answer+by))
		}
		return m, nil
	}
}

func (m Model) openNumber(first string) Model {
	p := m.walk().Offer.Probe
	line := entry.Of("Reading", first)
	line.Unit = shownUnit(p.Unit, m.opt.Units.US)
	m.field = &field{kind: numberField, Line: line}
	return m
}
