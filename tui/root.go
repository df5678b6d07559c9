package tui

import (
	"context"
	"errors"
	"strconv"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/tui/bench"
	"example.org/tankhand/tui/debrief"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/settings"
	"example.org/tankhand/tui/start"
	"example.org/tankhand/tui/theme"
	"example.org/tankhand/tui/visits"
)

type (
	// listed is what Items and Sheets found.
	listed struct {
		items  []start.Item
		sheets []start.Sheet
	}
	// opened is the end of OpenBench.
	opened struct {
		id      int
		session Session
		err     error
	}
)

// screen is which screen has the keys.
type screen uint8

const (
	starting screen = iota
	openingFeed
	atBench
	atVisits
	atSettings
	atDebrief
)

// Model routes messages to the screen that is shown, and nothing else.
type Model struct {
	ctx     context.Context
	config  Config
	theme   theme.Theme
	screen  screen
	under   screen // to which the visits and the settings lead back
	start   start.Model
	bench   bench.Model
	visits  visits.Model
	chosen  settings.Model
	debrief debrief.Model
	size    tea.WindowSizeMsg
	ids     int // of the newest bench
	choice  start.Item
	live    *live
	session Session // of the bench
	err     error
}

// New is the root of the screens.
func New(ctx context.Context, c Config) Model {
	m := Model{ctx: ctx, config: c, theme: c.theme(), live: &live{}}
	m.start = start.New(nil, start.Options{Theme: m.theme, Version: c.Version, Visits: c.Book != nil, Settings: c.SettingsPath != "", KeepSheet: c.KeepSheet, Save: c.Save})
	if c.SettingsWrong != nil {
		m.start = m.start.Say("the file of the settings has mistakes, so some are not in force: g shows them, " + c.SettingsPath)
	}
	if c.Straight != nil {
		m.screen, m.choice, m.ids = openingFeed, *c.Straight, 1
	}
	return m
}

// Init starts to look for ports, or opens the one that was asked for.
func (m Model) Init() tea.Cmd {
	if m.config.Straight != nil {
		return m.open(*m.config.Straight)
	}
	return m.list()
}

func (m Model) list() tea.Cmd {
	ctx, find, sheets := m.ctx, m.config.Items, m.config.Sheets
	return func() tea.Msg {
		found := listed{items: []start.Item{}}
		if find != nil {
			found.items = find(ctx)
		}
		if sheets != nil {
			found.sheets = sheets(ctx)
		}
		return found
	}
}

func (m Model) open(it start.Item) tea.Cmd {
	ctx, id, open, l := m.ctx, m.ids, m.config.OpenBench, m.live
	return func() tea.Msg {
		s, err := open(ctx, it)
		if err == nil {
			l.add(s)
		}
		return opened{id, s, err}
	}
}

// Update routes.
func (m Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		return m.keys(msg)
	case tea.WindowSizeMsg:
		m.size = msg
		m.start, _ = m.start.Update(msg)
		m.bench, _ = m.bench.Update(msg)
		m.visits, _ = m.visits.Update(msg)
		m.chosen, _ = m.chosen.Update(msg)
		m.debrief, _ = m.debrief.Update(msg)
		return m, nil
	case listed:
		m.start = m.start.With(msg.items, msg.sheets...)
		return m, nil
	case start.Chosen:
		m.screen, m.choice = openingFeed, msg.Item
		m.ids++
		return m, m.open(msg.Item)
	case start.Leave:
		return m, tea.Quit
	case opened:
		return m.enter(msg)
	case keys.Go:
		return m.visit(msg)
	case visits.Left, settings.Left:
		m.screen = m.under
		return m, nil
	case visits.Resume:
		it := start.Item{ID: "visit:" + msg.Visit.ID, Name: "visit " + strconv.FormatInt(msg.Visit.Number, 10)}
		m.screen, m.choice = openingFeed, it
		m.ids++
		return m, m.open(it)
	case settings.Changed:
		return m.settle(msg.Settings), nil
	case bench.Left:
		m.live.forget(m.session)
		m.err = msg.Err
		return m.after()
	case debrief.Left:
		if m.config.Straight != nil {
			return m, tea.Quit
		}
		m.screen = starting // for the next drill
		return m, m.list()
	}
	return m.pass(msg)
}

// keys takes keys one by one: what is typed faster than a slow link carries it comes as one message. The
// bench does so itself, as one of them may open a field that takes the rest.
func (m Model) keys(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	if len(msg.Runes) < 2 || msg.Paste || m.screen == atBench {
		return m.pass(msg)
	}
	var next tea.Model = m
	var cmds []tea.Cmd
	for _, r := range msg.Runes {
		var cmd tea.Cmd
		next, cmd = next.(Model).pass(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}, Alt: msg.Alt})
		cmds = append(cmds, cmd)
	}
	return next, tea.Sequence(cmds...)
}

// enter goes to the bench, or back to the start with the reason.
func (m Model) enter(o opened) (tea.Model, tea.Cmd) {
	if o.id != m.ids || m.screen != openingFeed {
		return m, m.drop(o)
	}
	if o.err != nil {
		if m.config.Straight != nil {
			m.err = o.err
			return m, tea.Quit
		}
		m.screen = starting
		m.start = m.start.Say(o.err.Error())
		return m, m.list()
	}
	m.screen, m.session = atBench, o.session
	m.bench = bench.New(m.ctx, o.session, m.benchOptions(o.id))
	m.bench, _ = m.bench.Update(m.size)
	return m, m.bench.Init()
}

// Debriefed is a session that has something to tell once it has ended: a drill.
type Debriefed interface {
	// Debrief is the text, "" for none, and the file that it was written to.
	Debrief() (text, path string)
}

// after shows the debrief of a drill that has ended, or leaves.
func (m Model) after() (tea.Model, tea.Cmd) {
	d, ok := m.session.(Debriefed)
	if !ok || m.err != nil {
		return m, tea.Quit
	}
	text, path := d.Debrief()
	if text == "" {
		return m, tea.Quit
	}
	m.session, m.screen = nil, atDebrief
	m.debrief, _ = debrief.New(text, debrief.Options{Theme: m.theme, Path: path, Save: m.config.Save}).Update(m.size)
	return m, nil
}

// drop closes a session that came too late.
func (m Model) drop(o opened) tea.Cmd {
	if o.session == nil {
		return nil
	}
	l := m.live
	return func() tea.Msg {
		l.forget(o.session)
		_ = o.session.Close() // nothing was done with it
		return nil
	}
}

// pass hands a key to the screen that is shown, and everything else also to those behind it, so that the
// bench goes on while past visits are read.
func (m Model) pass(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmds [3]tea.Cmd
	k, isKey := msg.(tea.KeyMsg)
	if isKey && m.screen == openingFeed {
		return m.whileOpening(k)
	}
	if m.screen == starting {
		m.start, cmds[0] = m.start.Update(msg)
	}
	if m.session != nil && (!isKey || m.screen == atBench) {
		m.bench, cmds[0] = m.bench.Update(msg)
	}
	if m.screen == atVisits {
		m.visits, cmds[1] = m.visits.Update(msg)
	}
	if m.screen == atSettings {
		m.chosen, cmds[2] = m.chosen.Update(msg)
	}
	if m.screen == atDebrief {
		m.debrief, cmds[0] = m.debrief.Update(msg)
	}
	return m, tea.Batch(cmds[:]...)
}

// whileOpening lets a slow port be given up.
func (m Model) whileOpening(k tea.KeyMsg) (tea.Model, tea.Cmd) {
	switch k.String() {
	case "q", "ctrl+c":
		return m, tea.Quit
	case "esc":
		if m.config.Straight == nil {
			m.screen = starting
		}
	}
	return m, nil
}

// View is that of the screen shown.
func (m Model) View() string {
	switch m.screen {
	case atBench:
		return m.bench.View()
	case openingFeed:
		return m.start.Opening(m.choice)
	case atVisits:
		return m.visits.View()
	case atSettings:
		return m.chosen.View()
	case atDebrief:
		return m.debrief.View()
	}
	return m.start.View()
}

// end closes what is still open.
func (m Model) end() error {
	return errors.Join(m.err, m.live.end())
}
