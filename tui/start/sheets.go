package start

import (
	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// Sheet is a site sheet that may go with a feed.
type Sheet struct {
	Name, What string
	Path       string // of its file; "" when it is only on record
	Text       string // where there is no file
}

// none and fromQuestions stand below the sheets that are known.
var (
	none          = Sheet{Name: "without a sheet", What: "listen first; distances and the checks of the feed need none, the tank does"}
	fromQuestions = Sheet{Name: "a new sheet", What: "from a few questions, with a tape measure in hand"}
)

func (m Model) sheets() []Sheet {
	return append(m.known[:len(m.known):len(m.known)], none, fromQuestions)
}

func (m Model) sheetActions() []action {
	n := len(m.sheets())
	digits := keys.As(keys.Digit, "choose")
	digits.SetKeys(keys.Digit.Keys()[:min(n, 9)]...)
	return []action{
		{Binding: keys.As(keys.Enter, "with this one"), Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m.takeSheet(m.sheetMark) }},
		{Binding: digits, Do: func(m Model, msg tea.KeyMsg) (Model, tea.Cmd) { return m.takeSheet(keys.Index(msg)) }},
	}
}

func (m Model) takeSheet(i int) (Model, tea.Cmd) {
	if i < 0 || i >= len(m.sheets()) {
		return m, nil
	}
	m.sheetMark = i
	if i == len(m.sheets())-1 {
		m.mode, m.quick = asking, quick{}.open()
		return m, nil
	}
	if i == len(m.sheets())-2 {
		return m.with(Sheet{})
	}
	return m.with(m.sheets()[i])
}

func (m Model) sheetBody(w, h int) draw.Block {
	head := draw.Block{draw.Of(theme.Strong, " Which installation is it?  "+m.marked().Name).Cut(w)}
	var rows draw.Block
	for i, s := range m.sheets() {
		l := append(draw.Numbered(i, i == m.sheetMark), draw.Of(theme.Strong, s.Name).Fit(min(30, max(8, w/3)))...)
		rows = append(rows, append(l, draw.Say(theme.Plain, "  "+s.What)).Cut(w))
	}
	return append(head, draw.About(rows, m.sheetMark, h-1)...)
}
