package bench

import (
	"context"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/tui/keys"
)

// Drill is a session on an installation that shows what a technician would see and measure: a drill.
type Drill interface {
	// Look carries the offered step's question out and says what there is to see.
	Look(ctx context.Context) (string, error)
	// Hint gives the next hint, at its price.
	Hint(ctx context.Context) (string, error)
	// Status is the drill in a few words; NoHints tells an exam.
	Status() string
	NoHints() bool
}

// drill is the drill on the bench, or nil.
func (m Model) drill() Drill {
	d, _ := m.session.(Drill)
	return d
}

// shown is what a look or a hint said.
type shown struct {
	id   int
	text string
	err  error
}

// drillActions are the keys that only a drill has.
func (m Model) drillActions() []action {
	d := m.drill()
	if d == nil {
		return nil
	}
	o := m.walk().Offer
	look := m.ready() && o.Probe != nil && o.Probe.Kind != "watch"
	list := []action{on(keys.When(look, keys.Look), ask(d.Look))}
	if !d.NoHints() {
		list = append(list, on(keys.When(m.snap.Walk != nil && m.free() && !m.walk().Done, keys.Hint), ask(d.Hint)))
	}
	return list
}

// ask lets the drill's time pass beside the screen.
func ask(what func(context.Context) (string, error)) deed {
	return func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
		m.busy, m.status, m.bad = true, "the minutes of this step go by", false
		ctx, id := m.ctx, m.opt.ID
		return m, func() tea.Msg {
			text, err := what(ctx)
			return shown{id, text, err}
		}
	}
}

func (m Model) tell(s shown) Model {
	m.busy, m.status, m.bad = false, s.text, s.err != nil
	if m.bad {
		m.status = s.err.Error()
	}
	return m
}

// leaveWord is what leaving a closed visit leads to.
func (m Model) leaveWord() string {
	if m.drill() != nil {
		return "to the debrief"
	}
	return "leave"
}
