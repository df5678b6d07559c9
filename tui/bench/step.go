package bench

import (
	"example.org/tankhand/faulttree"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/theme"
)

// stepBody is the offered step in at most h rows: the answers are never cut off; the reason goes
// first, then the end of the instruction.
func (m Model) stepBody(w, h int) draw.Block {
	walk := m.walk()
	if m.closed() {
		out := draw.Block{draw.Line{draw.Mark('+'), draw.Say(theme.Strong, " The visit is closed: "+m.snap.Visit.Outcome)}.Cut(w)}
		return append(append(out, m.reportLines(w)...), enterLine(m.leaveWord(), w))
	}
	head := draw.Instruction(walk.Offer, w)
	must := m.mustSee(w, h-2)
	why := draw.WhyShort(walk.Offer, w)
	if walk.Better != "" {
		why = append(draw.Block{draw.Line{draw.Mark(theme.MarkHere), draw.Say(theme.Here, " b  better now: "+walk.Better)}.Cut(w)}, why...)
	}
	if m.cautioned() { // to be read whole before anything else
		return append(head.Shorten(max(1, h-len(must))), must...)
	}
	if len(head)+len(must)+len(why) > h {
		why = why.Shorten(h - len(head) - len(must))
	}
	head = head.Shorten(max(1, h-len(must)))
	return append(append(head, must...), why...)
}

// mustSee is the part of the step in which something is to be pressed, if it can be in h rows.
func (m Model) mustSee(w, h int) draw.Block {
	walk := m.walk()
	o := walk.Offer
	var out draw.Block
	switch {
	case m.cautioned():
		out = append(out, draw.Cautions(o.Cautions, w)...)
		return append(out, ackLine(w))
	case m.field != nil && m.field.kind == numberField:
		return draw.Block{m.field.Draw(w), m.preview(w)}
	case m.typed():
		return draw.Block{enterLine("type the reading, in "+shownUnit(o.Probe.Unit, m.opt.Units.US), w), m.limits(w)}
	case walk.Trial != nil:
		out = append(out, m.watching(w)...)
	case m.canBegin():
		out = append(out, enterLine("begin; the feed is watched while you do it", w))
	case o.Remedy != nil:
		out = append(out, enterLine("it is done; then the cure is proven", w))
	case o.HandOn || o.Done:
		out = append(out, enterLine("to the hand-over", w))
	}
	if o.Probe != nil {
		proposed := ""
		if walk.Trial != nil {
			proposed = walk.Trial.Answer
		}
		var branches []faulttree.Branch
		if m.merged() {
			branches = o.Branches
		}
		out = append(out, draw.Answers(o.Probe.Answers, m.answer, proposed, o.Want, branches, w, h-len(out))...)
	}
	return out
}

// cautionsOver is by how many rows the cautions are too long for a work side even without the rest;
// negative when there is room for some of the rest.
func (m Model) cautionsOver(w, h int) int {
	return len(draw.Cautions(m.walk().Offer.Cautions, w)) + 4 - h
}

// cautionsAlone gives the whole work side to the cautions; what does not fit is scrolled to.
func (m Model) cautionsAlone(w, h int) draw.Block {
	text := draw.Cautions(m.walk().Offer.Cautions, w)
	from := min(m.scroll, max(0, len(text)-h+1))
	out := append(draw.Block{}, text[from:min(len(text), from+h-1)]...)
	if m.unread(w, h) {
		return append(out, draw.Line{draw.Mark(theme.MarkHere), draw.Say(theme.Key, " down "), draw.Say(theme.Strong, "read on")}.Cut(w))
	}
	return append(out, ackLine(w))
}

// unread tells whether the end of the cautions has not been on the screen yet.
func (m Model) unread(w, h int) bool {
	text := draw.Cautions(m.walk().Offer.Cautions, w)
	return m.cautionsOver(w, h) >= 0 && m.scroll < len(text)-h+1
}

// enterLine is the marked deed of Enter.
func enterLine(text string, w int) draw.Line {
	return draw.Line{draw.Mark(theme.MarkHere), draw.Say(theme.Key, " Enter "), draw.Say(theme.Plain, text)}.Cut(w)
}

func ackLine(w int) draw.Line {
	return draw.Line{draw.Mark(theme.MarkHere), draw.Say(theme.Key, " a "), draw.Say(theme.Strong, "I have read this and shall work so")}.Cut(w)
}

// watching is the running trial: count-down, live figure, verdict so far.
func (m Model) watching(w int) draw.Block {
	t := m.trial()
	head := draw.Of(theme.Strong, " Watching the feed")
	if !t.Done {
		head = append(head, draw.Say(theme.Strong, "  "+m.opt.Units.Clock(t.Remaining)+" left"))
	}
	head = append(head, draw.Say(theme.Plain, "  "+t.Figure))
	verdict := draw.Line{draw.Mark(theme.MarkUnknown), draw.Say(theme.Unknown, " cannot tell yet"), draw.Say(theme.Dim, because(t.Why))}
	if t.Answer != "" {
		verdict = draw.Line{draw.Mark(theme.MarkHere), draw.Say(theme.Key, " Enter "), draw.Say(theme.Plain, t.Answer), draw.Say(theme.Dim, because(t.Why))}
	}
	return draw.Block{head.Cut(w), verdict.Cut(w)}
}

func because(s string) string {
	if s == "" {
		return ""
	}
	return ": " + s
}

// limits shows the bands of a measured probe with the answer of each.
func (m Model) limits(w int) draw.Line {
	o := m.walk().Offer
	unit := shownUnit(o.Probe.Unit, m.opt.Units.US)
	l := draw.Of(theme.Dim, "   ")
	for i, a := range o.Probe.Answers {
		if i > 0 && i <= len(o.Limits) {
			l = append(l, draw.Say(theme.Strong, " | "+shownIn(o.Limits[i-1], o.Probe.Unit, unit)+" | "))
		}
		l = append(l, draw.Say(theme.Plain, a))
	}
	return l.Cut(w)
}

// preview says what the reading being typed would mean.
func (m Model) preview(w int) draw.Line {
	o := m.walk().Offer
	if o.Probe == nil {
		return nil
	}
	v, err := parseReading(m.field.Value(), m.field.Unit)
	if err != nil {
		return m.limits(w)
	}
	return draw.Join(draw.Of(theme.Here, " > "+band(v, o.Limits, o.Probe.Answers)), "", m.limits(w)).Cut(w)
}
