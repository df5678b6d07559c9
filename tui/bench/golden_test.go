package bench

import (
	"context"
	"fmt"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/mattn/go-runewidth"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/testdata/golden"
	"example.org/tankhand/tui/screentest"
	"example.org/tankhand/tui/theme"
)

// at is a bench that shows a snapshot in a window, after some keys.
func at(w, h int, s visit.Snapshot, opt Options, pressed ...string) (Model, *fake) {
	f := &fake{ch: make(chan visit.Snapshot, 1)}
	opt.Base = sceneBase()
	m := New(context.Background(), f, opt)
	m, _ = m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	m, _ = m.Update(came{snap: s, ok: true})
	return press(m, pressed...), f
}

// press types keys and carries out the commands that follow from them, pauses left out.
func press(m Model, pressed ...string) Model {
	for _, k := range pressed {
		var cmd tea.Cmd
		m, cmd = m.Update(screentest.Key(k))
		for n := 0; cmd != nil && n < 3; n++ {
			s, ok := cmd().(stored)
			if !ok {
				break
			}
			m, _ = m.Update(s)
			cmd = nil
		}
	}
	return m
}

// scenes are the states of the screen worth looking at.
var scenes = []struct {
	name string
	snap func() visit.Snapshot
	keys []string
	opt  Options
}{
	{name: "opening", snap: func() visit.Snapshot { return visit.Snapshot{} }},
	{name: "pick", snap: picking},
	{name: "measure", snap: measuring},
	{name: "reading-typed", snap: measuring, keys: []string{"4", ".", "5"}},
	{name: "caution", snap: cautious},
	{name: "trial", snap: func() visit.Snapshot { return watched("") }},
	{name: "trial-verdict", snap: func() visit.Snapshot { return watched("steady and right") }},
	{name: "remedy", snap: mendingScene},
	{name: "cured", snap: cured},
	{name: "hand-over", snap: cured, keys: []string{"enter"}},
	{name: "closed", snap: func() visit.Snapshot { s := cured(); s.Visit.Outcome = "mended and proven"; return s }},
	{name: "cured-further", snap: func() visit.Snapshot { return curedFurther() }},
	{name: "odd", snap: oddScene},
	{name: "odd-why", snap: oddScene, keys: []string{"w"}},
	{name: "ask", snap: oddScene, keys: []string{"o", "down"}},
	{name: "skip", snap: measuring, keys: []string{"s"}},
	{name: "why", snap: measuring, keys: []string{"w"}},
	{name: "findings", snap: measuring, keys: []string{"f"}},
	{name: "evidence", snap: measuring, keys: []string{"f", "enter"}},
	{name: "trend", snap: measuring, keys: []string{"t"}},
	{name: "remedies", snap: measuring, keys: []string{"r"}},
	{name: "note", snap: measuring, keys: []string{"n", "w", "e", "t"}},
	{name: "keys", snap: measuring, keys: []string{"?"}},
	{name: "teach", snap: teachScene, keys: []string{"l", "down"}},
	{name: "teach-lost", snap: teachScene, keys: []string{"l", "e", "9", "9"}},
	{name: "teach-role", snap: teachScene, keys: []string{"l", "down", "enter"}},
	{name: "leave", snap: measuring, keys: []string{"q"}},
	{name: "us-units", snap: measuring, keys: []string{"i"}},
	{name: "tank-alone", snap: measuring, keys: []string{"tab", "tab"}},
	{name: "slow-link", snap: measuring, opt: Options{Slow: true}},
	{name: "ascii", snap: measuring, opt: Options{Theme: theme.Theme{ASCII: true}}},
}

func TestScreens(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 36}, {40, 12}} {
		for _, sc := range scenes {
			name := fmt.Sprintf("%s-%dx%d", sc.name, size[0], size[1])
			t.Run(name, func(t *testing.T) {
				m, _ := at(size[0], size[1], sc.snap(), sc.opt, sc.keys...)
				golden.Equal(t, name+".txt", m.View()+"\n")
			})
		}
	}
}

// No window may make a view larger than itself: the terminal library would drop the top.
func TestNeverLargerThanTheWindow(t *testing.T) {
	wide := &runewidth.Condition{}
	for _, size := range [][2]int{{1, 1}, {2, 3}, {7, 4}, {20, 5}, {40, 12}, {60, 17}, {80, 24}, {109, 18}, {110, 18}, {120, 36}, {250, 70}} {
		for _, sc := range scenes {
			for _, p := range []pane{both, onlyTree, onlyTank} {
				m, _ := at(size[0], size[1], sc.snap(), sc.opt, sc.keys...)
				m.pane = p
				rows := strings.Split(m.View(), "\n")
				require.LessOrEqual(t, len(rows), size[1], "%s at %v", sc.name, size)
				for _, r := range rows {
					require.LessOrEqual(t, wide.StringWidth(r), size[0], "%s at %v: %q", sc.name, size, r)
				}
			}
		}
	}
}
