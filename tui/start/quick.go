package start

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/entry"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// quick is a sheet from five questions or so: a name, the shape, its sizes, and how high the sensor hangs.
// It is a value; the sheet is the fold of the answers, so that going back is free.
type quick struct {
	answers []answer
	line    entry.Line
	mark    int // of the words to choose from
}

type answer struct{ path, text string } // "": not known yet

// choices are the questions that are answered by choosing.
var choices = map[string][]string{
	"tank.shape": {"vertical cylinder", "box", "horizontal cylinder", "cone bottom", "dished bottom", "sphere"},
	"tank.heads": {"flat", "torispherical", "ellipsoidal", "hemispherical"},
}

// asks tells whether a question belongs to the quick sheet; the rest can be added with an editor.
func asks(path string) bool {
	return path == "asset" || path == "sensor.face_height" || strings.HasPrefix(path, "tank.")
}

func (q quick) sheet() *site.Sheet {
	s := &site.Sheet{}
	for _, a := range q.answers {
		if a.text != "" {
			_ = s.Set(a.path, a.text) // it was accepted before
		}
	}
	return s
}

// next is the question to be asked now; ok is false when all are answered.
func (q quick) next() (ask site.Question, ok bool) {
	for _, open := range site.Questions(q.sheet()) {
		done := slices.ContainsFunc(q.answers, func(a answer) bool { return a.path == open.Path })
		if asks(open.Path) && !done {
			return open, true
		}
	}
	return ask, false
}

// open makes the line for the question that is next.
func (q quick) open() quick {
	ask, _ := q.next()
	q.mark, q.line = 0, entry.Of(ask.Ask, "")
	return q
}

// say answers; an answer that cannot be is refused with its reason. No answer is "not known yet".
func (q quick) say(text string) quick {
	ask, ok := q.next()
	if !ok {
		return q
	}
	if text != "" {
		if err := q.sheet().Set(ask.Path, text); err != nil {
			q.line.Wrong = strings.TrimPrefix(err.Error(), "setting "+ask.Path+": ")
			return q
		}
	}
	q.answers = append(slices.Clone(q.answers), answer{ask.Path, text})
	return q.open()
}

// text is the sheet as a file: the commented one of its shape where the shape is known.
func (q quick) text() string {
	s := q.sheet()
	form, err := site.TemplateFor(s.Tank.Kind)
	out := []byte(form)
	for _, a := range q.answers {
		if err == nil && a.text != "" && a.path != "tank.shape" {
			out, err = site.Amend("the new sheet", out, a.path, a.text)
		}
	}
	if err != nil {
		return s.String()
	}
	return string(out)
}

func (m Model) quickActions() []action {
	ask, _ := m.quick.next()
	words := choices[ask.Path]
	digits := keys.As(keys.Digit, "choose")
	digits.SetKeys(keys.Digit.Keys()[:len(words)]...)
	return []action{
		{Binding: keys.As(keys.Enter, "choose"), Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m.said(words[m.quick.mark]) }},
		{Binding: digits, Do: func(m Model, msg tea.KeyMsg) (Model, tea.Cmd) { return m.said(words[keys.Index(msg)]) }},
		{Binding: keys.Skip, Do: func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m.said("") }},
	}
}

// said takes an answer; after the last one the sheet is kept and the feed opened.
func (m Model) said(text string) (Model, tea.Cmd) {
	m.quick = m.quick.say(text)
	if _, more := m.quick.next(); more {
		return m, nil
	}
	sheet := Sheet{Text: m.quick.text(), Name: m.quick.sheet().Asset}
	if m.opt.KeepSheet != nil {
		path, err := m.opt.KeepSheet(sheet.Name, sheet.Text)
		if err != nil {
			m.status = err.Error()
		} else {
			sheet.Path = path
		}
	}
	return m.with(sheet)
}

// typeQuick types into the question, or goes back by one.
func (m Model) typeQuick(msg tea.KeyMsg) (Model, tea.Cmd) {
	line, end := m.quick.line.Type(msg)
	switch end {
	case entry.Taken:
		return m.said(line.Value())
	case entry.Left:
		return m.quickBack(), nil
	}
	m.quick.line = line
	return m, nil
}

func (m Model) quickBack() Model {
	if n := len(m.quick.answers); n > 0 {
		m.quick.answers = m.quick.answers[: n-1 : n-1]
		m.quick = m.quick.open()
		return m
	}
	m.mode = choosingSheet
	return m
}

func (m Model) quickBody(w int) draw.Block {
	out := draw.Block{draw.Of(theme.Strong, " A site sheet from a few questions"), draw.Of(theme.Dim, " What is not known yet can be left out; the file is commented for the rest.").Cut(w), nil}
	for _, a := range m.quick.answers {
		text, ink := a.text, theme.Plain
		if text == "" {
			text, ink = "not known yet", theme.Dim
		}
		out = append(out, append(draw.Of(theme.Dim, "   "+strings.ReplaceAll(a.path, "_", " ")).Fit(26), draw.Say(ink, text)).Cut(w))
	}
	ask, _ := m.quick.next()
	words := choices[ask.Path]
	if len(words) == 0 {
		line := m.quick.line
		wrong := line.Wrong
		line.Wrong = ""
		out = append(out, line.Draw(w))
		if wrong != "" {
			out = append(out, draw.Wrap(theme.Bad, "! "+wrong, w-4).Indent(3)...)
		}
		return append(out, draw.Wrap(theme.Dim, ask.Help+"; Enter alone when it is not known", w-4).Indent(3)...)
	}
	out = append(out, draw.Of(theme.Strong, fmt.Sprintf(" %s?", ask.Ask)))
	for i, word := range words {
		out = append(out, append(draw.Numbered(i, i == m.quick.mark), draw.Say(theme.Plain, word)).Cut(w))
	}
	return out
}
