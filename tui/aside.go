package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/tui/bench"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/settings"
	"example.org/tankhand/tui/visits"
)

// visit goes to a screen that stands aside of the work, and remembers where from.
func (m Model) visit(to keys.Go) (tea.Model, tea.Cmd) {
	if m.screen == starting || m.screen == atBench {
		m.under = m.screen
	}
	switch {
	case to == keys.ToVisits && m.config.Book != nil:
		m.screen = atVisits
		m.visits = visits.New(m.ctx, visits.Options{Theme: m.theme, Book: m.config.Book, Busy: m.running(), Save: m.config.Save})
		m.visits, _ = m.visits.Update(m.size)
		return m, m.visits.Init()
	case to == keys.ToSettings && m.config.SettingsPath != "":
		m.screen = atSettings
		m.chosen = settings.New(m.config.Settings, settings.Options{Theme: m.theme, Path: m.config.SettingsPath, Wrong: m.config.SettingsWrong, Save: m.config.Save})
		m.chosen, _ = m.chosen.Update(m.size)
	case to == keys.ToLeave:
		return m.leave()
	}
	return m, nil
}

// running is the visit of the bench, "" when there is none.
func (m Model) running() string {
	if m.session == nil {
		return ""
	}
	return m.bench.Visit()
}

// leave ends the program from a screen aside; a bench asks first.
func (m Model) leave() (tea.Model, tea.Cmd) {
	if m.under != atBench {
		return m, tea.Quit
	}
	m.screen = atBench
	m.bench = m.bench.AskToLeave()
	return m, nil
}

// settle draws everything by other settings.
func (m Model) settle(s settings.Settings) Model {
	m.config = m.config.with(s)
	m.theme = m.config.theme()
	m.start, m.chosen = m.start.In(m.theme), m.chosen.With(m.theme)
	m.bench = m.bench.By(m.benchOptions(m.ids))
	return m
}

func (m Model) benchOptions(id int) bench.Options {
	c := m.config
	return bench.Options{Theme: m.theme, Units: c.units(), Slow: c.Slow, Base: c.Base, Save: c.Save, SaveDialect: c.SaveDialect, Report: c.Report,
		Visits: c.Book != nil, Settings: c.SettingsPath != "", ID: id}
}
