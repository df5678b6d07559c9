package bench

import (
	"fmt"
	"slices"
	"strings"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/entry"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// sideBySide is the width from which on tank and tree stand beside each other.
const sideBySide = 110

// memo is the last paint, shared by all values of a model: the library asks for the view after every
// message, and half of those change nothing.
type memo struct {
	states int // given out so far
	state  int // that was painted
	text   string
}

// touched is the model in a state of its own.
func (m Model) touched() Model {
	if m.memo == nil { // no bench yet
		return m
	}
	m.memo.states++
	m.shown = m.memo.states
	return m
}

// View paints the screen; it is never larger than the window.
func (m Model) View() string {
	if m.memo == nil {
		return ""
	}
	if m.memo.state != m.shown || m.shown == 0 {
		m.memo.state, m.memo.text = m.shown, m.paint()
	}
	return m.memo.text
}

func (m Model) paint() string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	return m.screen().Fit(m.w, m.h).Paint(m.opt.Theme)
}

func (m Model) screen() draw.Block {
	out := draw.Block{m.header()}
	foot := draw.Block{m.help()}
	if m.footRows() > 1 {
		foot = append(draw.Block{m.statusLine()}, foot...)
	}
	if m.wide() {
		out = append(out, draw.Rule(m.w))
	}
	out = append(out, m.body(m.bodyRows())...)
	return append(out.Fit(m.w, max(0, m.h-len(foot))), foot...)
}

// footRows are the rows below the body: the keys, and above them what was stored or went wrong.
func (m Model) footRows() int {
	if m.h >= 18 || m.status != "" || m.snap.Store != "" {
		return 2
	}
	return 1
}

func (m Model) bodyRows() int {
	head := 1
	if m.wide() {
		head = 2
	}
	return max(0, m.h-head-m.footRows())
}

// workSize is the room of the work side.
func (m Model) workSize() (w, h int) {
	h = m.bodyRows()
	if m.wide() {
		return m.w - m.tankColumns() - 1, h
	}
	return m.w, h - len(m.strip(h))
}

func (m Model) tankColumns() int { return min(46, max(38, m.w*3/10)) }

// wide: a slow link gets the tank lying down whatever the width, as a line that changes is sent
// again in its whole width.
func (m Model) wide() bool { return m.w >= sideBySide && m.h >= 18 && !m.opt.Slow && m.pane == both }

func (m Model) body(h int) draw.Block {
	if m.pane == onlyTank && m.mode == working {
		return m.tankSide(m.w, h)
	}
	if m.wide() {
		lw := m.tankColumns()
		return draw.Beside(m.tankSide(lw, h), lw, m.work(m.w-lw-1, h), m.w-lw-1, h)
	}
	top := m.strip(h)
	return append(top, m.work(m.w, h-len(top))...)
}

// strip is the tank lying down, with a rule under it where there is room.
func (m Model) strip(h int) draw.Block {
	if m.pane == onlyTree || h < 4 {
		return nil
	}
	v := draw.VesselOf(m.snap.Sheet, m.snap.Level)
	top := draw.Strip(v, m.opt.Units, m.pumpLine(), m.w)
	if h < 12 {
		return top[:1]
	}
	return append(top, draw.Rule(m.w))
}

func (m Model) header() draw.Line {
	s := m.snap
	l := draw.Of(theme.Strong, " tankhand")
	if s.Sheet != nil && (s.Sheet.Site != "" || s.Sheet.Asset != "") && m.w >= 60 {
		l = append(l, draw.Say(theme.Plain, "  "+strings.Trim(s.Sheet.Site+" / "+s.Sheet.Asset, " /")))
	}
	tail := m.feedWord()
	if m.w >= 100 && s.Feed.Source != "" {
		tail = draw.Join(draw.Of(theme.Dim, s.Feed.Source+rate(s.RateHz, m.opt.Units.Coarse)), "  ", tail)
	}
	if s.Visit.Number > 0 {
		tail = append(tail, draw.Say(theme.Dim, fmt.Sprintf("  visit %d", s.Visit.Number)))
	}
	if !s.Now.IsZero() {
		tail = append(tail, draw.Say(theme.Dim, "  "+s.Now.Format("15:04")))
	}
	return draw.Ends(l, append(tail, draw.Say(theme.Plain, " ")), m.w)
}

func rate(hz float64, coarse bool) string {
	if !(hz > 0) || coarse {
		return ""
	}
	return fmt.Sprintf("  %.0f lines/s", hz)
}

// feedWords says how the feed is, its mark first.
var feedWords = map[visit.FeedState]struct {
	mark rune
	text string
	ink  theme.Ink
}{
	visit.Waiting:  {'?', "waiting for the feed", theme.Unknown},
	visit.Learning: {'?', "learning the feed", theme.Unknown},
	visit.Good:     {'+', "feed good", theme.Good},
	visit.Silent:   {'!', "feed silent", theme.Bad},
	visit.Gone:     {'!', "unplugged", theme.Bad},
	visit.Refused:  {'!', "port refused", theme.Bad},
	visit.Over:     {'?', "end of the log", theme.Unknown},
}

func (m Model) feedWord() draw.Line {
	if !m.have {
		return draw.Of(theme.Unknown, "? opening")
	}
	if m.ended {
		return draw.Of(theme.Bad, "! ended")
	}
	f, ok := feedWords[m.snap.State]
	if !ok {
		f = feedWords[visit.Waiting]
	}
	if health := m.feedHealth(); m.snap.State == visit.Good && health != "" {
		return draw.Line{draw.Mark('!'), draw.Say(theme.Bad, " feed "+health)}
	}
	return draw.Line{draw.Mark(f.mark), draw.Say(f.ink, " "+f.text)}
}

// feedHealth is the word of the feed's own check where it fails: lines may come and still be no good.
func (m Model) feedHealth() string {
	for i := range m.snap.Findings {
		if f := &m.snap.Findings[i]; f.Check == "feed-health" && f.Verdict == diagnostics.Fail {
			return f.Grade("state")
		}
	}
	return ""
}

// statusLine is the rule above the keys; what was stored, or went wrong, is written into it.
func (m Model) statusLine() draw.Line {
	switch {
	case m.snap.Store != "":
		return draw.Line{draw.Mark(theme.MarkBad), draw.Say(theme.Bad, " not on disk: "+m.snap.Store)}.Cut(m.w)
	case m.bad:
		return draw.Line{draw.Mark(theme.MarkBad), draw.Say(theme.Bad, " "+m.status)}.Cut(m.w)
	case m.status != "":
		return draw.Line{draw.Mark(theme.MarkGood), draw.Say(theme.Plain, " "+m.status)}.Cut(m.w)
	case m.snap.Why != "" && m.snap.State != visit.Good:
		return draw.Line{draw.Mark(feedWords[m.snap.State].mark), draw.Say(theme.Plain, " "+m.snap.Why)}.Cut(m.w)
	}
	if d := m.drill(); d != nil {
		return draw.Of(theme.Dim, "  "+d.Status()).Cut(m.w)
	}
	return draw.Rule(m.w)
}

// help is the row of keys that can be pressed now, from the bindings themselves.
func (m Model) help() draw.Line {
	if m.field != nil {
		return entry.Keys(m.w)
	}
	list := m.actions()
	if m.mode == working && m.snap.Walk != nil { // these stand in the step itself
		list = slices.DeleteFunc(list, func(a action) bool {
			k := a.Help().Key
			return k == "Enter" || k == "a" || strings.Contains(k, "-9") || strings.HasPrefix(k, "1-")
		})
	}
	return draw.Keys(keys.Bindings(list), m.w)
}
