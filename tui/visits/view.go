package visits

import (
	"cmp"
	"fmt"
	"strings"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/entry"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// View paints the screen.
func (m Model) View() string {
	row := draw.Keys(keys.Bindings(m.actions()), m.w)
	if m.field != nil {
		row = entry.Keys(m.w)
	}
	head := draw.Of(theme.Strong, " tankhand  past visits")
	if m.reading != nil {
		head = append(head, draw.Say(theme.Plain, "  visit "+number(*m.reading)))
	}
	return draw.Page{Head: head, Body: m.body, Status: m.said, Keys: row}.Paint(m.w, m.h, m.opt.Theme)
}

func (m Model) body(w, h int) draw.Block {
	switch {
	case m.helping:
		return draw.Window(m.help(w), m.scroll, h)
	case m.reading != nil:
		return m.storyBody(w, h)
	case !m.loaded:
		return draw.Block{draw.Of(theme.Dim, " Looking for visits.")}
	case len(m.all) == 0:
		return draw.Wrap(theme.Plain, "No visit is on record yet. One begins when a complaint is chosen on the bench.", w-2).Indent(1)
	}
	return m.listBody(w, h)
}

func (m Model) listBody(w, h int) draw.Block {
	list := m.shown()
	open := 0
	for _, v := range list {
		open += 1 - rank(v)
	}
	head := draw.Ends(draw.Of(theme.Strong, fmt.Sprintf(" %s, %d of them open", count(len(list)), open)), draw.Of(theme.Dim, "? open  + mended and proven "), w)
	if m.field != nil {
		head = m.field.Draw(w)
	} else if m.find != "" {
		head = draw.Of(theme.Strong, fmt.Sprintf(" %d of %s with: %s", len(list), count(len(m.all)), m.find)).Cut(w)
	}
	var rows draw.Block
	for i, v := range list {
		rows = append(rows, m.line(i, v, w))
	}
	if len(list) == 0 {
		rows = draw.Block{draw.Of(theme.Dim, " None is found; Esc shows all.")}
	}
	return append(draw.Block{head}, draw.About(rows, m.mark, max(0, h-1))...)
}

// line is one visit: its number and day, where, what was said and how it ended.
func (m Model) line(i int, v visit.Summary, w int) draw.Line {
	l := append(draw.Numbered(i, i == m.mark), mark(v), draw.Say(theme.Plain, fmt.Sprintf(" %4s  ", number(v))))
	if w < 60 {
		return append(l, whereIn(v, w-l.Width())...).Cut(w)
	}
	day := v.Begun.In(m.opt.Zone).Format("2006-01-02")
	if w >= 100 {
		day = v.Begun.In(m.opt.Zone).Format("2006-01-02 15:04")
	}
	l = append(l, draw.Say(theme.Dim, day+"  "))
	room := (w - l.Width()) * 2 / 5
	l = append(l, whereIn(v, room).Fit(room)...)
	end := plain(v.Complaint)
	if v.Cause != "" {
		end += ": " + plain(v.Cause)
	}
	return draw.Ends(append(l, draw.Say(theme.Plain, " "+cmp.Or(end, "no complaint chosen"))).Cut(w-tail(w)), draw.Of(theme.Plain, ending(v, w)), w)
}

// tail is the room for the outcome at the end of a row.
func tail(w int) int {
	if w < 100 {
		return 0
	}
	return 20
}

func ending(v visit.Summary, w int) string {
	if tail(w) == 0 {
		return ""
	}
	return outcome(v) + " "
}

func mark(v visit.Summary) draw.Span {
	switch v.Outcome {
	case visit.MendedProven:
		return draw.Mark(theme.MarkGood)
	case "":
		return draw.Mark(theme.MarkUnknown)
	}
	return draw.Say(theme.Plain, " ")
}

func (m Model) storyBody(w, h int) draw.Block {
	v := *m.reading
	head := draw.Block{append(draw.Line{draw.Say(theme.Plain, " "), mark(v), draw.Say(theme.Strong, " "+where(v))}, draw.Say(theme.Plain, "  "+outcome(v))).Cut(w)}
	switch {
	case m.story == nil:
		return append(head, draw.Of(theme.Dim, " Reading it."))
	case m.opt.Busy == v.ID:
		head = append(head, draw.Of(theme.Dim, " It is the visit on the bench.").Cut(w))
	case m.opt.Busy != "":
		head = append(head, draw.Of(theme.Dim, " To go on with it, leave the visit that runs now first.").Cut(w))
	case m.story.Refused != "":
		head = append(head, draw.Line{draw.Say(theme.Plain, " "), draw.Mark(theme.MarkUnknown), draw.Say(theme.Plain, " cannot be gone on with from here: "+m.story.Refused)}.Cut(w))
	default:
		head = append(head, draw.Line{draw.Mark(theme.MarkHere), draw.Say(theme.Key, " Enter "), draw.Say(theme.Plain, m.resumeWord()+", on "+m.story.Feed)}.Cut(w))
	}
	return append(head, draw.Window(m.storyText(w), m.scroll, max(0, h-len(head)))...)
}

// customerText is what the customer reads, without the marks of the format.
func customerText(text string, w int) (out draw.Block) {
	for _, l := range strings.Split(text, "\n") {
		ink, in := theme.Plain, 3
		switch {
		case strings.Contains(l, "____"), l == "---", l == "": // to be signed on paper
			continue
		case strings.HasPrefix(l, "#"):
			ink, in, l = theme.Strong, 1, strings.TrimLeft(l, "# ")
		case strings.HasPrefix(l, "> "):
			l = "“" + l[2:] + "”"
		}
		l = strings.NewReplacer("\\", "", "**", "").Replace(strings.TrimSuffix(l, "  "))
		out = append(out, draw.Wrap(ink, l, max(8, w-in-1)).Indent(in)...)
	}
	return out
}

// storyText is the customer's page and below it the whole story, a day above its hours.
func (m Model) storyText(w int) draw.Block {
	out := customerText(m.story.Customer, w)
	if len(out) > 0 {
		out = append(out, nil, draw.Of(theme.Strong, " All that was recorded"))
	}
	day := ""
	for _, t := range m.story.Told {
		at := t.At.In(m.opt.Zone)
		if d := at.Format("2006-01-02"); d != day {
			day = d
			out = append(out, draw.Of(theme.Dim, " "+d))
		}
		l := draw.Line{draw.Say(theme.Dim, at.Format(" 15:04:05 "))}
		if w >= 60 {
			l = append(l, draw.Of(theme.Strong, plain(t.What)).Fit(15)...)
		}
		text := draw.Wrap(theme.Plain, t.Text, max(8, w-l.Width()-1))
		if len(text) == 0 {
			text = draw.Block{nil}
		}
		out = append(out, append(l, text[0]...))
		out = append(out, text[1:].Indent(l.Width())...)
	}
	return out
}

func number(v visit.Summary) string {
	if v.Number == 0 {
		return "?"
	}
	return fmt.Sprint(v.Number)
}

func where(v visit.Summary) string {
	return cmp.Or(strings.Trim(v.Site+" / "+v.Asset, " /"), "site not named")
}

// whereIn keeps the number of the installation in sight where there is no room for all.
func whereIn(v visit.Summary, w int) draw.Line {
	all := draw.Of(theme.Strong, where(v))
	if all.Width() <= w || v.Asset == "" || v.Site == "" {
		return all
	}
	end := draw.Of(theme.Strong, " / "+v.Asset)
	return append(draw.Of(theme.Strong, v.Site).Cut(max(4, w-end.Width())), end...)
}

func count(n int) string {
	if n == 1 {
		return "1 visit"
	}
	return fmt.Sprintf("%d visits", n)
}

func outcome(v visit.Summary) string { return cmp.Or(v.Outcome, "open") }

func plain(id string) string { return strings.ReplaceAll(id, "-", " ") }
