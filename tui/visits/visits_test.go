package visits

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/testdata/golden"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/screentest"
	"example.org/tankhand/tui/theme"
)

// shelf is a book of invented visits.
type shelf struct {
	all     []visit.Summary
	refused string
	err     error
}

func (s shelf) List(context.Context) ([]visit.Summary, error) { return s.all, s.err }

func (s shelf) Story(_ context.Context, id string) (Story, error) {
	day := time.Date(2026, 5, 4, 7, 31, 0, 0, time.UTC)
	return Story{Feed: "--port /dev/ttyUSB0", Refused: s.refused, Customer: "# Service report, visit 3\n\n**Invented data**\n\n## What you told us\n\n> it clicks all night long\n\n- supply dips \\(by 0.4 V\\)\n", Told: []Told{
		{day, "visit-begun", "Quarry Lane glasshouse; HT-2; by A. N. Other"},
		{day.Add(time.Minute), "complaint", "The relay chatters; “it clicks all night long and the pump hardly runs for more than a moment each time”"},
		{day.Add(25 * time.Hour), "note", "\x1b[2Jlid was loose " + id},
	}}, s.err
}

func (s shelf) Report(_ context.Context, id string) ([]string, error) {
	return []string{"/data/reports/" + id + ".html", "/data/reports/" + id + "-customer.html"}, s.err
}

func invented() shelf {
	day := time.Date(2026, 5, 4, 7, 31, 0, 0, time.UTC)
	return shelf{all: []visit.Summary{
		{Number: 4, ID: "d", Begun: day.Add(72 * time.Hour), Site: "Mill Row", Asset: "T1", Complaint: "no-echo", Cause: "trigger-open", Outcome: visit.MendedProven},
		{Number: 3, ID: "c", Begun: day.Add(48 * time.Hour), Site: "Quarry Lane glasshouse", Asset: "HT-2", Complaint: "relay-chatter"},
		{Number: 2, ID: "b", Begun: day.Add(24 * time.Hour), Site: "Quarry Lane glasshouse", Asset: "HT-2", Complaint: "pump-runs-dry", Outcome: visit.HandedOn},
		{Number: 1, ID: "a", Begun: day, Outcome: visit.NoFaultFound},
	}}
}

func at(w, h int, s shelf, pressed ...string) Model {
	m := New(context.Background(), Options{Book: s, Zone: time.UTC})
	m, _ = m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	m, _ = m.Update(m.Init()())
	return press(m, pressed...)
}

// press types keys and carries out what follows from them.
func press(m Model, pressed ...string) Model {
	for _, k := range pressed {
		var cmd tea.Cmd
		if m, cmd = m.Update(screentest.Key(k)); cmd != nil {
			m, _ = m.Update(cmd())
		}
	}
	return m
}

var scenes = map[string][]string{
	"visits": nil, "find": {"/", "q", "u", "a", "r"}, "story": {"enter"}, "closed": {"3"}, "report": {"down", "y"}, "keys": {"?"},
}

func TestScreens(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 36}, {40, 12}} {
		for name, pressed := range scenes {
			golden.Equal(t, fmt.Sprintf("%s-%dx%d.txt", name, size[0], size[1]), at(size[0], size[1], invented(), pressed...).View()+"\n")
		}
		golden.Equal(t, fmt.Sprintf("none-%dx%d.txt", size[0], size[1]), at(size[0], size[1], shelf{}).View()+"\n")
	}
}

func TestOpenVisitsComeFirstAndCanBeGoneOnWith(t *testing.T) {
	m := at(80, 24, invented(), "enter")
	require.Equal(t, "c", m.reading.ID)
	_, cmd := m.Update(screentest.Key("enter"))
	require.NotNil(t, cmd)
	assert.Equal(t, Resume{invented().all[1]}, cmd())
}

// A second visit must not be begun over a running one, nor one whose feed is gone.
func TestWhatCannotBeGoneOnWithSaysWhy(t *testing.T) {
	s := invented()
	s.refused = "/dev/ttyUSB0 is not plugged in"
	m := at(80, 24, s, "enter")
	_, cmd := m.Update(screentest.Key("enter"))
	assert.Nil(t, cmd)
	assert.Contains(t, m.View(), "not plugged in")

	m = New(context.Background(), Options{Book: invented(), Busy: "d"})
	m, _ = m.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	m, _ = m.Update(m.Init()())
	m = press(m, "enter")
	_, cmd = m.Update(screentest.Key("enter"))
	assert.Nil(t, cmd)
	assert.Contains(t, m.View(), "leave the visit that runs now first")
}

func TestFindNarrowsWithEveryKey(t *testing.T) {
	m := at(80, 24, invented(), "/", "m", "i", "l", "l")
	require.Len(t, m.shown(), 1)
	m = press(m, "enter", "enter")
	assert.Equal(t, "d", m.reading.ID)
	m = press(m, "esc", "esc")
	assert.Len(t, m.shown(), 4)
	assert.Contains(t, press(m, "/", "z", "z").View(), "None is found")
}

func TestTroubleIsSaid(t *testing.T) {
	s := invented()
	s.err = errors.New("the store is locked")
	assert.Contains(t, at(80, 24, s).View(), "! the store is locked")
	m, _ := at(80, 24, invented()).Update(told{id: "zz"}) // of a story left long ago
	assert.Nil(t, m.story)
}

func TestSizesAndKeys(t *testing.T) {
	for w := 0; w < 130; w += 3 {
		for _, h := range []int{0, 1, 2, 3, 5, 12, 30} {
			for _, pressed := range scenes {
				v := at(w, h, invented(), pressed...).View()
				require.LessOrEqual(t, strings.Count(v, "\n"), max(0, h-1))
				require.NotContains(t, v, "\x1b")
				for _, row := range strings.Split(v, "\n") {
					require.LessOrEqual(t, theme.Widths.StringWidth(row), w)
				}
			}
		}
	}
	for _, pressed := range scenes {
		assert.Empty(t, keys.Clash(at(80, 24, invented(), pressed...).actions()))
	}
}

// Every key of the screen stands in its list of keys, with its word.
func TestEveryKeyIsListed(t *testing.T) {
	m := at(100, 60, invented())
	help := press(m, "?").View()
	for _, a := range m.actions() {
		assert.Regexp(t, regexp.QuoteMeta(a.Help().Key)+` +`+regexp.QuoteMeta(a.Help().Desc), help)
	}
}

// What is copied out is all of it, not what fits.
func TestCopyingOut(t *testing.T) {
	var kept string
	m := at(40, 8, invented(), "enter")
	m.opt.Save = func(text string) (string, error) { kept = text; return "/data/screens/1.txt", nil }
	m = press(m, "c")
	assert.Contains(t, kept, "Quarry Lane glasshouse / HT-2")
	assert.Contains(t, kept, "lid was loose")
	assert.Contains(t, m.View(), "written: /data/screens/1.txt")
	m = press(m, "esc", "c")
	assert.Contains(t, kept, "Mill Row / T1")
}
