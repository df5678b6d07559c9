// Package visits is the record on the screen: the visits that were kept, the open ones first; one of them
// as a story; its report; and the way back into it.
package visits

import (
	"context"
	"path/filepath"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/entry"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// Told is one event of a visit's story.
type Told struct {
	At         time.Time
	What, Text string
}

// Story is one visit for reading.
type Story struct {
	Told []Told
	// Customer is the customer's page in plain words, as Markdown.
	Customer string
	// Feed is where its last feed came from; Refused says why it cannot be gone on with from here.
	Feed, Refused string
}

// Book is where the visits are kept. Its functions run beside the screen.
type Book interface {
	List(ctx context.Context) ([]visit.Summary, error)
	Story(ctx context.Context, id string) (Story, error)
	// Report writes the report and returns the paths of its files.
	Report(ctx context.Context, id string) ([]string, error)
}

// Left says that the screen is done.
type Left struct{}

// Resume asks to go on with a visit.
type Resume struct{ Visit visit.Summary }

// Options of the screen.
type Options struct {
	Theme theme.Theme
	Book  Book
	// Busy is the visit that runs at the moment; no other may be taken up before it is left.
	Busy string
	Zone *time.Location // nil: local
	// Save writes a text to a file and returns its path; nil: there is no such key.
	Save func(text string) (path string, err error)
}

type (
	listed struct {
		all []visit.Summary
		err error
	}
	told struct {
		id    string
		story Story
		err   error
	}
	written struct {
		paths []string
		err   error
	}
)

// Model is the screen's state. It is a value: Update returns the next one.
type Model struct {
	opt     Options
	ctx     context.Context
	all     []visit.Summary
	loaded  bool
	find    string
	field   *entry.Line
	mark    int
	reading *visit.Summary // the visit whose story is shown
	story   *Story
	scroll  int
	helping bool
	said    draw.Line
	w, h    int
}

// New is a screen that has still to look.
func New(ctx context.Context, opt Options) Model {
	if opt.Zone == nil {
		opt.Zone = time.Local
	}
	return Model{ctx: ctx, opt: opt}
}

// Init looks for the visits.
func (m Model) Init() tea.Cmd {
	ctx, book := m.ctx, m.opt.Book
	return func() tea.Msg {
		all, err := book.List(ctx)
		return listed{all, err}
	}
}

// shown are the visits that the words typed are found in, the open ones first.
func (m Model) shown() []visit.Summary {
	var out []visit.Summary
	for _, v := range m.all {
		if found(v, m.find, m.opt.Zone) {
			out = append(out, v)
		}
	}
	slices.SortStableFunc(out, func(a, b visit.Summary) int { return rank(a) - rank(b) })
	return out
}

func rank(v visit.Summary) int {
	if v.Outcome == "" {
		return 0
	}
	return 1
}

// found tells whether every word stands somewhere in the visit's line.
func found(v visit.Summary, words string, zone *time.Location) bool {
	text := strings.ToLower(strings.Join([]string{number(v), v.Begun.In(zone).Format("2006-01-02"), v.Site, v.Asset, plain(v.Complaint), plain(v.Cause), outcome(v)}, " "))
	for _, w := range strings.Fields(strings.ToLower(words)) {
		if !strings.Contains(text, w) {
			return false
		}
	}
	return true
}

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = msg.Width, msg.Height
	case listed:
		m.all, m.loaded = msg.all, true
		m.said = wrong(msg.err)
	case told:
		if m.reading != nil && m.reading.ID == msg.id {
			m.story = &msg.story
			m.said = wrong(msg.err)
		}
	case written:
		m.said = wrong(msg.err)
		if msg.err == nil {
			m.said = draw.Done("written: " + files(msg.paths))
		}
	case tea.KeyMsg:
		if m.field != nil {
			return m.typing(msg), nil
		}
		next, cmd, _ := keys.Dispatch(m, msg, m.actions())
		return next, cmd
	}
	return m, nil
}

// files names the first whole and the others, which stand beside it, shortly.
func files(paths []string) string {
	var out []string
	for i, p := range paths {
		if i > 0 {
			p = filepath.Base(p)
		}
		out = append(out, p)
	}
	return strings.Join(out, " and ")
}

func wrong(err error) draw.Line {
	if err == nil {
		return nil
	}
	return draw.Wrong(err.Error())
}

// typing narrows the list with every key; Esc shows all again.
func (m Model) typing(msg tea.KeyMsg) Model {
	line, end := m.field.Type(msg)
	m.field, m.find, m.mark = &line, line.Value(), 0
	switch end {
	case entry.Taken:
		m.field = nil
	case entry.Left:
		m.field, m.find = nil, ""
	}
	return m
}
