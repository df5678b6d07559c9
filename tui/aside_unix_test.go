//go:build unix

package tui

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/screentest"
	"example.org/tankhand/tui/settings"
	"example.org/tankhand/tui/start"
	"example.org/tankhand/tui/theme"
	"example.org/tankhand/tui/visits"
)

// shelf is a book of one open visit.
type shelf struct{}

func (shelf) List(context.Context) ([]visit.Summary, error) {
	return []visit.Summary{{Number: 7, ID: "seven", Begun: time.Date(2026, 5, 4, 7, 31, 0, 0, time.UTC), Asset: "HT-2", Complaint: "no-echo"}}, nil
}

func (shelf) Story(context.Context, string) (visits.Story, error) {
	return visits.Story{Feed: "--port /dev/ttyUSB0", Told: []visits.Told{{What: "note", Text: "lid was loose"}}}, nil
}

func (shelf) Report(context.Context, string) ([]string, error) { return []string{"/data/7.html"}, nil }

func TestAnOpenVisitIsGoneOnWith(t *testing.T) {
	c := config(newFake())
	asked := make(chan start.Item, 1)
	open := c.OpenBench
	c.Book = shelf{}
	c.OpenBench = func(ctx context.Context, it start.Item) (Session, error) {
		asked <- it
		return open(ctx, it)
	}
	s := screentest.Start(t, New(context.Background(), c), 80, 24)
	s.WaitFor("healthy")
	s.Type("p")
	s.WaitFor("1 visit, 1 of them open")
	s.Type("<enter>")
	s.WaitFor("lid was loose")
	s.Type("y")
	s.WaitFor("written: /data/7.html")
	s.Type("<enter>")
	s.WaitFor("m deep")
	require.Equal(t, "visit:seven", (<-asked).ID)
	s.Type("p")
	s.WaitFor("past visits")
	s.Type("<esc>")
	s.WaitFor("What does the customer say?")
	s.Type("p")
	s.WaitFor("past visits")
	s.Type("q") // the bench asks first
	s.WaitFor("Leave?")
	s.Type("q")
	require.NoError(t, s.Wait())
}

func TestAVisitThatCannotBeOpenedLeadsBack(t *testing.T) {
	c := config(newFake())
	c.Book = shelf{}
	c.OpenBench = func(context.Context, start.Item) (Session, error) { return nil, errors.New("the port is busy") }
	s := screentest.Start(t, New(context.Background(), c), 80, 24)
	s.WaitFor("healthy")
	s.Type("p")
	s.WaitFor("1 visit,")
	s.Type("<enter>")
	s.WaitFor("go on with it")
	s.Type("<enter>")
	s.WaitFor("! the port is busy")
	s.Type("q")
	require.NoError(t, s.Wait())
}

// Units chosen on the settings screen are those of the bench behind it.
func TestSettingsTakeEffect(t *testing.T) {
	c := config(newFake())
	c.SettingsPath = filepath.Join(t.TempDir(), "settings.yaml")
	told := make(chan settings.Settings, 1)
	c.Settle = func(s settings.Settings) { told <- s }
	s := screentest.Start(t, New(context.Background(), c), 80, 24)
	s.WaitFor("healthy")
	s.Type("<enter>")
	s.WaitFor("0.888 m deep")
	s.Type("g")
	s.WaitFor("May open mains enclosures")
	s.Type("2")
	s.WaitFor("+ kept in")
	require.Equal(t, settings.Settings{Units: "us"}, <-told)
	s.Type("<esc>")
	s.WaitFor("35.0 in deep")
	kept, err := settings.Load(c.SettingsPath)
	require.NoError(t, err)
	require.Equal(t, "us", kept.Units)
	s.Type("q")
	s.WaitFor("Leave?")
	s.Type("q")
	require.NoError(t, s.Wait())
}

func TestWrongSettingsAreSaidAtTheStart(t *testing.T) {
	c := config(newFake())
	c.SettingsPath, c.SettingsWrong = "/home/x/settings.yaml", errors.New("1:8: furlongs")
	s := screentest.Start(t, New(context.Background(), c), 80, 24)
	s.WaitFor("the file of the settings has mistakes")
	s.Type("q")
	require.NoError(t, s.Wait())
}

// Keys that a slow link carries together count each for itself.
func TestKeysThatComeTogether(t *testing.T) {
	c := config(newFake())
	c.SettingsPath = filepath.Join(t.TempDir(), "settings.yaml")
	m := New(context.Background(), c)
	m.screen, m.under = atSettings, starting
	m.chosen = settings.New(settings.Settings{}, settings.Options{Path: c.SettingsPath})
	next, _ := m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("23")})
	kept, err := settings.Load(c.SettingsPath)
	require.NoError(t, err)
	require.Equal(t, settings.Settings{Units: "us", Mains: "no"}, kept)
	_, _ = next.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("22"), Paste: true})
	kept, err = settings.Load(c.SettingsPath)
	require.NoError(t, err)
	require.Equal(t, "us", kept.Units, "what is pasted is no key")
}

// A window dragged about: no screen is ever larger than it, down to a single cell.
func TestAResizeStorm(t *testing.T) {
	c := config(newFake())
	c.Book, c.SettingsPath = shelf{}, filepath.Join(t.TempDir(), "settings.yaml")
	for _, to := range []any{nil, keys.ToVisits, keys.ToSettings} {
		var m tea.Model = New(context.Background(), c)
		if to != nil {
			m, _ = m.Update(to)
		}
		for i := range 400 {
			w, h := 1+i*37%250, 1+i*13%70
			m, _ = m.Update(tea.WindowSizeMsg{Width: w, Height: h})
			rows := strings.Split(m.View(), "\n")
			require.LessOrEqual(t, len(rows), h)
			for _, r := range rows {
				require.LessOrEqual(t, theme.Widths.StringWidth(r), w)
			}
		}
		m, _ = m.Update(tea.WindowSizeMsg{Width: 1, Height: 1})
		require.NotPanics(t, func() { _ = m.View() })
	}
}
