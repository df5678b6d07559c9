package start

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/testdata/golden"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/screentest"
	"example.org/tankhand/tui/theme"
)

func items() []Item {
	return []Item{
		{ID: "rig:healthy", Kind: "Practice rig, an invented installation", Name: "healthy", What: "nothing is wrong: look around"},
		{ID: "rig:brownout", Kind: "Practice rig, an invented installation", Name: "relay chatter", What: "The relay clicks on and off far more often than the water calls for."},
		{ID: "port:/dev/ttyUSB0", Kind: "Serial ports", Name: "/dev/ttyUSB0", What: "USB serial adapter", Warning: "opening it may restart the board, and a pump may switch"},
		{ID: "port:/dev/ttyS0", Kind: "Serial ports", Name: "/dev/ttyS0", Refused: "no right to open it: add yourself to the dialout group and log in again"},
		{ID: "visit:3", Kind: "Visits to go on with", Name: "HT-2", What: "relay chatter, begun 07:31"},
		{ID: "port:/dev/ttyACM0", Kind: "More", Name: "/dev/ttyACM0", AskSheet: true},
		{ID: "file:", Kind: "More", Name: "a recording", Type: "Path of the file", AskSheet: true},
		{ID: "net:", Kind: "More", Name: "a network port", Type: "HOST:PORT", Warning: "keep clear of the pump"},
	}
}

func press(m Model, pressed ...string) (Model, tea.Msg) {
	var msg tea.Msg
	for _, k := range pressed {
		var cmd tea.Cmd
		if m, cmd = m.Update(screentest.Key(k)); cmd != nil {
			msg = cmd()
		}
	}
	return m, msg
}

var known = []Sheet{{Name: "Quarry Lane glasshouse / HT-2", Path: "/sites/ht-2.yaml", What: "ht-2.yaml"}, {Name: "Mill Row / T1", Text: "sheet: tankhand/site/1", What: "as at visit 3"}}

func at(w, h int) Model {
	m, _ := New(nil, Options{Version: "test"}).With(items(), known...).Update(tea.WindowSizeMsg{Width: w, Height: h})
	return m
}

var scenes = map[string][]string{
	"start": nil, "asked": {"3"}, "keys": {"?"},
	"sheets": {"6"}, "path": {"7", "x"},
	"shape": append([]string{"6", "4"}, word("HT-9")...),
	"size":  append(append([]string{"6", "4"}, word("HT-9")...), "1", "1", "enter"),
}

// word types a word and takes it.
func word(s string) (out []string) {
	for _, r := range s {
		out = append(out, string(r))
	}
	return append(out, "enter")
}

func TestScreens(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 36}, {40, 12}} {
		for name, pressed := range scenes {
			m, _ := press(at(size[0], size[1]), pressed...)
			golden.Equal(t, fmt.Sprintf("%s-%dx%d.txt", name, size[0], size[1]), m.View()+"\n")
		}
		loading, _ := New(nil, Options{}).Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		golden.Equal(t, fmt.Sprintf("loading-%dx%d.txt", size[0], size[1]), loading.View()+"\n")
	}
}

func TestEnterOnTheFirstLineGetsGoing(t *testing.T) {
	_, msg := press(at(80, 24), "enter")
	assert.Equal(t, Chosen{items()[0]}, msg)
}

// Opening a port may switch a pump: it is said first, and only a second key opens it.
func TestAWarningIsReadBeforeOpening(t *testing.T) {
	m, msg := press(at(80, 24), "down", "down", "enter")
	assert.Nil(t, msg)
	assert.Contains(t, m.View(), "CAUTION  ! opening it may restart the board")
	_, msg = press(m, "enter")
	assert.Equal(t, Chosen{items()[2]}, msg)
	m, msg = press(m, "esc")
	assert.Nil(t, msg)
	assert.NotContains(t, m.View(), "CAUTION")
}

func TestARefusedPortIsExplained(t *testing.T) {
	m, msg := press(at(120, 24), "4")
	assert.Nil(t, msg)
	assert.Contains(t, m.View(), "add yourself to the dialout group")
}

func TestTheMarkStaysAtItsItem(t *testing.T) {
	m, _ := press(at(80, 24), "down")
	again := append([]Item{{ID: "new", Name: "new port"}}, items()...)
	m = m.With(again)
	_, msg := press(m, "enter")
	assert.Equal(t, "rig:brownout", msg.(Chosen).Item.ID)
	assert.NotPanics(t, func() { m.With([]Item{}).View() })
}

func TestSizesAndKeys(t *testing.T) {
	for w := 0; w < 130; w += 3 {
		for _, h := range []int{0, 1, 2, 5, 12, 30} {
			for _, pressed := range scenes {
				m, _ := press(at(w, h), pressed...)
				v := m.View()
				require.LessOrEqual(t, strings.Count(v, "\n"), max(0, h-1))
				for _, row := range strings.Split(v, "\n") {
					require.LessOrEqual(t, theme.Widths.StringWidth(row), w)
				}
			}
			_ = at(w, h).Opening(items()[2])
		}
	}
	for _, pressed := range scenes {
		m, _ := press(at(80, 24), pressed...)
		assert.Empty(t, keys.Clash(m.actions()))
	}
}

func TestHostileNamesAreMadeVisible(t *testing.T) {
	m := at(80, 24).With([]Item{{ID: "x", Kind: "\x1b[2J", Name: "USB\x1b]0;owned\x07", What: "\u202e", Refused: ""}})
	assert.NotContains(t, m.View(), "\x1b")
	assert.Contains(t, m.View(), "USB^[]0;owned^G")
	assert.NotContains(t, m.Opening(Item{Name: "\x1b[2J", Warning: "\x1b[2J"}), "\x1b")
}

// At first the mark stands at something that can be opened.
func TestTheFirstEnterIsNeverARefusal(t *testing.T) {
	list := append([]Item{{ID: "port:x", Name: "x", Refused: "no right"}}, items()...)
	_, msg := press(New(nil, Options{}).With(list), "enter")
	assert.Equal(t, "rig:healthy", msg.(Chosen).Item.ID)
}

func TestASheetThatIsKnownGoesWithThePort(t *testing.T) {
	_, msg := press(at(80, 24), "6", "2")
	it := msg.(Chosen).Item
	assert.Equal(t, "port:/dev/ttyACM0", it.ID)
	assert.Equal(t, known[1], it.Sheet)
	_, msg = press(at(80, 24), "6", "3")
	assert.Zero(t, msg.(Chosen).Item.Sheet, "without a sheet")
}

// Five questions make a sheet that the rest of the program reads; what was not known is left out, and a
// wrong answer is refused with its reason.
func TestAQuickSheet(t *testing.T) {
	var kept string
	m := at(80, 24)
	m.opt.KeepSheet = func(name, text string) (string, error) {
		kept = text
		return "/sites/" + name + ".yaml", nil
	}
	m, _ = press(m, "6", "4")
	m, _ = press(m, word("HT-9")...)
	m, _ = press(m, "1") // vertical cylinder
	m, _ = press(m, word("1.1")...)
	assert.Contains(t, m.View(), "it has no unit")
	m, _ = press(m, word(" m")...)
	m, _ = press(m, "enter") // the height is not known yet
	assert.Contains(t, m.View(), "not known yet")
	m, msg := press(m, word("1.75 m")...)
	assert.Equal(t, Sheet{Name: "HT-9", Path: "/sites/HT-9.yaml", Text: kept}, msg.(Chosen).Item.Sheet)
	s, err := site.Parse("x", []byte(kept))
	require.NoError(t, err)
	assert.Equal(t, "HT-9", s.Asset)
	assert.InDelta(t, 1.1, s.Tank.Diameter.V, 1e-9)
	assert.InDelta(t, 1.75, s.Sensor.FaceHeight.V, 1e-9)
	assert.Contains(t, kept, "# ", "the sheet is commented for the rest")
	_ = m
}

func TestGoingBackThroughTheQuestions(t *testing.T) {
	m, _ := press(at(80, 24), append([]string{"6", "4"}, word("HT-9")...)...)
	m, _ = press(m, "esc")
	assert.Contains(t, m.View(), "Number of this installation")
	m, _ = press(m, "esc")
	assert.Contains(t, m.View(), "Which installation is it?")
	m, _ = press(m, "esc")
	assert.Contains(t, m.View(), "Where does the feed come from?")
}

// Every shape that is offered has a commented sheet, and all answers left out still make a sheet.
func TestEveryShapeMakesASheet(t *testing.T) {
	for _, shape := range append(choices["tank.shape"], "") {
		q := quick{}.open()
		for n := 0; n < 20; n++ {
			ask, ok := q.next()
			if !ok {
				break
			}
			text := ""
			if ask.Path == "tank.shape" {
				text = shape
			}
			q = q.say(text)
		}
		_, err := site.Parse("x", []byte(q.text()))
		require.NoError(t, err, shape)
	}
}

func TestAnAddressIsTypedAndMended(t *testing.T) {
	m, _ := press(at(80, 24), "8")
	m, msg := press(m, word("bridge:4001")...)
	assert.Nil(t, msg)
	assert.Contains(t, m.View(), "CAUTION")
	m, msg = press(m, "enter")
	assert.Equal(t, "net:bridge:4001", msg.(Chosen).Item.ID)
	m, _ = press(m, "8")
	assert.Contains(t, m.View(), "bridge:4001_ ]", "what was typed is there to be mended")
}

// Every key of the screen stands in its list of keys, with its word.
func TestEveryKeyIsListed(t *testing.T) {
	m := at(100, 60)
	m.opt.Visits, m.opt.Settings = true, true
	m, _ = press(m, "esc")
	helped, _ := press(m, "?")
	help := helped.View()
	for _, a := range m.actions() {
		assert.Regexp(t, regexp.QuoteMeta(a.Help().Key)+` +`+regexp.QuoteMeta(a.Help().Desc), help)
	}
}
