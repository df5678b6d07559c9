package bench

import (
	"fmt"
	"strings"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/theme"
)

// work is what the work side shows in this mode.
func (m Model) work(w, h int) draw.Block {
	if h <= 0 || w <= 0 {
		return nil
	}
	var b draw.Block
	switch m.mode {
	case working:
		b = m.workBody(w, h)
	case skipping:
		b = m.skipBody(w)
	case explaining:
		b = append(m.saidBody(w), append(append(append(draw.Instruction(m.walk().Offer, w), nil), m.oddWhy(w)...), draw.Why(m.walk().Suspects, m.walk().Offer, w, 9)...)...)
	case listing:
		b = m.listingBody(w, h)
	case reading:
		b = m.readingBody(w)
	case trending:
		b = draw.Trend(m.snap.Trend, m.snap.Now, spans[m.span], m.opt.Units, w, h, m.opt.Theme.ASCII)
	case helping:
		b = m.helpBody(w)
	case noting:
		b = m.notesBody(w, h)
	case mending:
		b = m.mendBody(w, h)
	case opening:
		b = m.openBody(w, h)
	case closing:
		b = m.closingBody(w, h)
	case leaving:
		b = m.leavingBody(w)
	case teaching:
		b = m.teachBody(w, h)
	case choosing:
		b = m.roleBody(w, h)
	}
	if m.mode == explaining || m.mode == reading || m.mode == helping {
		b = draw.Window(b, m.scroll, h)
	}
	if m.field != nil && m.mode == closing {
		b = append(b[:min(len(b), h-1)], m.field.Draw(w))
	}
	return b.Fit(w, h)
}

// saidBody is what the customer said, where it was taken down.
func (m Model) saidBody(w int) draw.Block {
	words := m.walk().Words
	if words == "" {
		return nil
	}
	return append(draw.Wrap(theme.Plain, "The customer says: "+words, w-2).Indent(1), nil)
}

func (m Model) workBody(w, h int) draw.Block {
	if !m.have {
		return draw.Block{draw.Of(theme.Dim, " Opening the feed.")}
	}
	if m.snap.Walk == nil {
		return m.pickBody(w, h)
	}
	return m.walkBody(w, h)
}

// walkBody shares the rows out: the step first, as it must be seen whole, then the tree, then the
// suspects.
func (m Model) walkBody(w, h int) draw.Block {
	walk := m.walk()
	if m.cautioned() && m.cautionsOver(w, h) >= 0 {
		return m.cautionsAlone(w, h)
	}
	step := m.stepBody(w, max(3, h-2-min(2, h/7)))
	offer := walk.Offer
	if m.merged() {
		offer.Branches = nil
	}
	if m.closed() && !offer.Done { // no step is open any more
		offer = faulttree.Offer{Title: "closed: " + m.snap.Visit.Outcome}
	}
	out := draw.Block{m.title(w)}
	room := h - len(out) - len(step)
	airy := room >= 14
	if airy {
		room -= 3
	}
	sus := suspectRows(room, len(walk.Suspects))
	if room < 9 { // the way here counts for more than the reason
		step = m.stepBody(w, len(step)-1)
		room = h - len(out) - len(step)
	}
	tree := draw.Tree(m.path(), offer, w, max(0, room-sus))
	if spare := room - sus - len(tree); spare > 0 {
		sus = min(len(walk.Suspects)+1, sus+spare)
	}
	if airy {
		out = append(out, nil)
	}
	out = append(out, tree...)
	if airy {
		out = append(out, nil)
	}
	out = append(out, m.suspects(w, sus)...)
	if airy {
		out = append(out, nil)
	}
	return append(out, step...)
}

// merged: where rows are short the answers themselves say where they lead, instead of the tree.
func (m Model) merged() bool {
	_, h := m.workSize()
	return h < 28 && len(m.answers()) > 0 && !m.typed() && !m.cautioned()
}

func suspectRows(room, n int) int {
	switch {
	case n == 0 || room < 2:
		return 0
	case room < 6:
		return 1
	case room < 12:
		return 2
	}
	return min(n+1, 6, room*2/5)
}

func (m Model) suspects(w, h int) draw.Block {
	if h <= 3 {
		return draw.Suspects(m.walk().Suspects, m.opt.Units, w, h)
	}
	odd := m.oddLine(w)
	head := draw.Ends(draw.Of(theme.Strong, " Suspects"), draw.Of(theme.Dim, "what moved them most "), w)
	out := append(draw.Block{head}, draw.Suspects(m.walk().Suspects, m.opt.Units, w, h-1-len(odd))...)
	return append(out, odd...)
}

func (m Model) title(w int) draw.Line {
	walk := m.walk()
	tail := fmt.Sprintf("%.0f min so far", walk.Minutes)
	if walk.Offer.With > 0 && w >= 60 {
		tail += fmt.Sprintf(", about %.0f to go", walk.Offer.With)
	}
	return draw.Ends(draw.Of(theme.Strong, " "+walk.Title), draw.Of(theme.Dim, tail+" "), w)
}

func words(id string) string { return strings.ReplaceAll(id, "-", " ") }
