package tui

import (
	"context"
	"errors"
	"slices"
	"sync"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/tui/bench"
	"example.org/tankhand/tui/start"
	"example.org/tankhand/tui/theme"
)

type (
	// listed is what Items found.
	listed []start.Item
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
)

// Model routes messages to the screen that is shown, and nothing else.
type Model struct {
	ctx     context.Context
	config  Config
	theme   theme.Theme
	screen  screen
	start   start.Model
	bench   bench.Model
	size    tea.WindowSizeMsg
	ids     int // of the newest bench
	choice  string
	live    *live
	session Session // of the bench
	err     error
}

// live are the sessions that must be closed however the program ends.
type live struct {
	mu       sync.Mutex
	sessions []Session
}

func (l *live) add(s Session) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.sessions = append(l.sessions, s)
}

// forget drops a session that has been closed.
func (l *live) forget(s Session) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.sessions = slices.DeleteFunc(l.sessions, func(o Session) bool { return o == s })
}

// end closes what is still open.
func (l *live) end() error {
	l.mu.Lock()
	open := l.sessions
	l.sessions = nil
	l.mu.Unlock()
	var errs []error
	for _, s := range open {
		errs = append(errs, s.Close())
	}
	return errors.Join(errs...)
}

// New is the root of the screens.
func New(ctx context.Context, c Config) Model {
	m := Model{ctx: ctx, config: c, theme: c.theme(), live: &live{}}
	m.start = start.New(nil, start.Options{Theme: m.theme, Version: c.Version})
	if c.Straight != nil {
		m.screen, m.choice, m.ids = openingFeed, c.Straight.Name, 1
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
	ctx, find := m.ctx, m.config.Items
	return func() tea.Msg {
		if find == nil {
			return listed{}
		}
		return listed(find(ctx))
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
	case tea.WindowSizeMsg:
		m.size = msg
		m.start, _ = m.start.Update(msg)
		m.bench, _ = m.bench.Update(msg)
		return m, nil
	case listed:
		m.start = m.start.With([]start.Item(msg))
		return m, nil
	case start.Chosen:
		m.screen, m.choice = openingFeed, msg.Item.Name
		m.ids++
		return m, m.open(msg.Item)
	case start.Leave:
		return m, tea.Quit
	case opened:
		return m.enter(msg)
	case bench.Left:
		m.live.forget(m.session)
		m.err = msg.Err
		return m, tea.Quit
	}
	return m.pass(msg)
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
	m.bench = bench.New(m.ctx, o.session, bench.Options{Theme: m.theme, Units: m.config.units(), Slow: m.config.Slow, Base: m.config.Base, Save: m.config.Save, SaveDialect: m.config.SaveDialect, ID: o.id})
	m.bench, _ = m.bench.Update(m.size)
	return m, m.bench.Init()
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

func (m Model) pass(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch m.screen {
	case starting:
		m.start, cmd = m.start.Update(msg)
	case atBench:
		m.bench, cmd = m.bench.Update(msg)
	case openingFeed:
		if k, ok := msg.(tea.KeyMsg); ok {
			return m.whileOpening(k)
		}
	}
	return m, cmd
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
	}
	return m.start.View()
}

// end closes what is still open.
func (m Model) end() error {
	return errors.Join(m.err, m.live.end())
}
