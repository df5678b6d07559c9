package bench

import (
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/keys"
)

// skips are the reasons for passing over a step.
var skips = []struct {
	how  faulttree.Act
	text string
}{
	{faulttree.Skipped, "not today"},
	{faulttree.CannotTell, "tried it, cannot tell"},
	{faulttree.NotSafe, "not safe to do here"},
}

func (m Model) skipActions() []action {
	return []action{
		on(pick(len(skips), "the reason"), func(m Model, msg tea.KeyMsg) (Model, tea.Cmd) { return m.skip(keys.Index(msg)) }),
		on(keys.As(keys.Enter, "the marked reason"), func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m.skip(m.mark) }),
		on(keys.Up, move(-1)), on(keys.Down, move(1)),
	}
}

func (m Model) skip(i int) (Model, tea.Cmd) {
	if i < 0 || i >= len(skips) || !m.free() {
		return m, nil
	}
	m.mode = working
	return m.do(visit.SkipStep{How: skips[i].how, Reason: skips[i].text}, "skipped: "+skips[i].text)
}

// listActions are those of findings, remedies, skipped probes: mark one and take it.
func (m Model) listActions() []action {
	word := map[mode]string{listing: "its evidence", mending: "do this one", opening: "ask it"}[m.mode]
	list := []action{
		on(keys.When(m.rows() > 0, keys.As(keys.Enter, word)), func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m.choose(m.mark) }),
		on(keys.Up, move(-1)), on(keys.Down, move(1)),
	}
	if m.mode != listing {
		list = append(list, on(pick(m.rows(), word), func(m Model, msg tea.KeyMsg) (Model, tea.Cmd) {
			m.mark = min(max(0, keys.Index(msg)), max(0, m.rows()-1))
			if m.mode == mending { // a remedy is marked first, so that its cautions are read
				return m, nil
			}
			return m.choose(m.mark)
		}))
	}
	if m.mode == mending {
		list[len(list)-1].Binding = keys.As(list[len(list)-1].Binding, "mark")
	}
	return list
}

func (m Model) choose(i int) (Model, tea.Cmd) {
	if i >= m.rows() || i < 0 {
		return m, nil
	}
	switch m.mode {
	case listing:
		m.mode, m.scroll = reading, 0
	case mending:
		if !m.free() {
			return m, nil
		}
		m.mode = working
		s := m.mendable()[i]
		said := "its cautions first, then do it: " + s.Title
		if r := m.walk().Offer.Remedy; r != nil && r.ID == s.Cause {
			said = "on the record: " + s.Title + ", remedy done"
		}
		return m.do(visit.TryRemedy{Cause: s.Cause}, said)
	case opening:
		return m.askInstead(i)
	}
	return m, nil
}

// rows is the length of the list shown.
func (m Model) rows() int {
	switch m.mode {
	case working:
		if m.snap.Walk == nil {
			return len(m.complaints())
		}
	case skipping:
		return len(skips)
	case listing:
		return len(m.findings())
	case mending:
		return len(m.mendable())
	case opening:
		return len(m.questions())
	case closing:
		return len(outcomes)
	case leaving:
		return len(m.leaveWays())
	case teaching:
		return len(m.teachColumns())
	case choosing:
		return len(roleWords)
	}
	return 0
}

// findings are those of the feed and of the desk, worst first, in the technician's units.
func (m Model) findings() []finding {
	list := draw.Worst(append(append([]finding{}, m.snap.Findings...), m.snap.Desk...))
	for i := range list {
		f, u := &list[i], m.opt.Units
		f.Why, f.Missing, f.Limit = u.Phrase(f.Why), u.Phrase(f.Missing), u.Phrase(f.Limit)
	}
	return list
}

// path is the way through the walk so far, in the technician's units.
func (m Model) path() []faulttree.Taken {
	path := m.walk().Path
	if !m.opt.Units.US {
		return path
	}
	out := slices.Clone(path)
	for i := range out {
		out[i].Title = m.opt.Units.Phrase(out[i].Title)
	}
	return out
}

// mendable are the suspects that have a remedy, most likely first, at most nine.
func (m Model) mendable() []faulttree.Suspect {
	var out []faulttree.Suspect
	for _, s := range m.walk().Suspects {
		if s.Cause != faulttree.Unlisted && !s.Cured && len(out) < 9 {
			out = append(out, s)
		}
	}
	return out
}

func move(by int) func(Model, tea.KeyMsg) (Model, tea.Cmd) {
	return func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
		m.mark = max(0, min(m.rows()-1, m.mark+by))
		return m, nil
	}
}
