package drill

import (
	"fmt"
	"strings"
)

// Text is the debrief on a page of plain text, for a terminal or a file.
func (d *Debrief) Text() string {
	var b strings.Builder
	d.head(&b)
	d.wrong(&b)
	b.WriteString("\nStep by step\n")
	for i := range d.Steps {
		d.Steps[i].tell(&b)
	}
	if len(d.Steps) == 0 {
		b.WriteString("  Nothing was asked and nothing was done.\n")
	}
	if d.Lesson.Debrief != "" && len(d.Late) == 0 { // it speaks of another installation then
		b.WriteString("\nThe lesson\n")
		wrap(&b, "  ", d.Lesson.Debrief)
	}
	if len(d.Read) > 0 {
		b.WriteString("\nTo read up\n")
		for _, c := range d.Read {
			wrap(&b, "  ", c.Title+": "+c.About)
		}
	}
	return b.String()
}

func (d *Debrief) head(b *strings.Builder) {
	what := "Debrief"
	if d.Exam {
		what = "Debrief of an exam"
	}
	wrap(b, "", fmt.Sprintf("%s: %s (level %d, invented data)", what, d.Title(), d.Lesson.Difficulty))
	if d.Trainee != "" {
		fmt.Fprintf(b, "Trainee: %s\n", visible(d.Trainee))
	}
	wrap(b, "", "The customer said: "+d.Lesson.Story)
	b.WriteString("\n")
	if len(d.Late) > 0 {
		wrap(b, "", "Switched in by the instructor: "+titles(d.Late)+".")
	}
	wrap(b, "", d.Verdict)
	fmt.Fprintf(b, "Work: %.0f min; the lesson's good way takes %.0f min.", d.Minutes, d.Par)
	if d.Waited >= 1 {
		fmt.Fprintf(b, " Waiting for the feed: %.0f min.", d.Waited)
	}
	b.WriteString("\n")
}

// wrong lists what was lost: parts, readings, cautions, hints.
func (d *Debrief) wrong(b *strings.Builder) {
	for _, c := range d.Wasted {
		text := "Mended though it was sound: " + c.Title
		if len(c.Parts) > 0 {
			text += " (" + strings.Join(c.Parts, ", ") + ")"
		}
		wrap(b, "", text+".")
	}
	for _, m := range d.Misread {
		wrap(b, "", fmt.Sprintf("Misread: %s You said %q; it was %q.", m.Ask, m.Said, m.Was))
	}
	for _, l := range d.Lapses {
		wrap(b, "", fmt.Sprintf("Caution passed over (%s): %s; %s.", strings.Join(l.Hazards, ", "), strings.TrimSuffix(l.Step, "."), l.How))
	}
	for _, h := range d.Hints {
		wrap(b, "", fmt.Sprintf("Hint, %.0f min: %s", h.Minutes, h.Text))
	}
}

// tell is one step, the engine's own choice there and what the answer did to the suspects.
func (s *Step) tell(b *strings.Builder) {
	text := s.Did
	if text == "" {
		text = s.Probe
	}
	if s.Answer != "" {
		text += " -> " + s.Answer
	}
	if s.Minutes > 0 {
		text += fmt.Sprintf(" (%.0f min)", s.Minutes)
	}
	if s.Undone {
		text += " (taken back)"
	}
	wrap(b, fmt.Sprintf("%3d  ", s.N), text)
	if s.Truth != "" {
		wrap(b, "     ", "in truth: "+s.Truth)
	}
	why := ""
	if s.Why != "" {
		why = " (" + s.Why + ")"
	}
	switch {
	case s.Same:
		wrap(b, "     ", "the program would have done the same"+why)
	case s.Engine != "":
		wrap(b, "     ", "the program would have asked or done: "+s.Engine+why)
	}
	if moved := s.moved(); moved != "" {
		wrap(b, "     ", "suspects: "+moved)
	}
}

// moved is what a step did to the suspects.
func (s *Step) moved() string {
	var out []string
	for _, m := range s.Moved {
		out = append(out, fmt.Sprintf("%s %.0f -> %.0f %%", m.Title, 100*m.From, 100*m.To))
	}
	return strings.Join(out, "; ")
}

// width of the page: fits a terminal of 80 columns.
const width = 79

// wrap writes a paragraph whose first line begins with lead and whose others are indented as far.
func wrap(b *strings.Builder, lead, text string) {
	line := lead
	indent := strings.Repeat(" ", len(lead))
	empty := true
	for _, w := range strings.Fields(visible(text)) {
		if !empty && len([]rune(line))+1+len([]rune(w)) > width {
			b.WriteString(strings.TrimRight(line, " ") + "\n")
			line, empty = indent, true
		}
		if !empty {
			line += " "
		}
		line += w
		empty = false
	}
	b.WriteString(strings.TrimRight(line, " ") + "\n")
}

// visible makes control characters harmless: a trainee's name and notes come from a keyboard.
func visible(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r >= 0x200e && r <= 0x202e {
			return ' '
		}
		return r
	}, s)
}

// Markdown is the debrief as a report.
func (d *Debrief) Markdown() string {
	var b strings.Builder
	fmt.Fprintf(&b, "# Debrief: %s\n\n", marked(d.Title()))
	if d.Trainee != "" {
		fmt.Fprintf(&b, "Trainee: %s. ", marked(d.Trainee))
	}
	fmt.Fprintf(&b, "Level %d, invented data.\n\n**%s**\n\n", d.Lesson.Difficulty, marked(d.Verdict))
	fmt.Fprintf(&b, "Work: %.0f min; the lesson's good way takes %.0f min.\n\n", d.Minutes, d.Par)
	var list strings.Builder
	d.wrong(&list)
	if list.Len() > 0 {
		fmt.Fprintf(&b, "```text\n%s```\n\n", list.String())
	}
	b.WriteString("| # | done | found | min | the program would have | suspects |\n|---|---|---|---|---|---|\n")
	for _, s := range d.Steps {
		engine := s.Engine
		if s.Same {
			engine = "the same"
		}
		if s.Why != "" {
			engine += " (" + s.Why + ")"
		}
		found := s.Answer
		if s.Truth != "" {
			found += " (in truth: " + s.Truth + ")"
		}
		fmt.Fprintf(&b, "| %d | %s | %s | %.0f | %s | %s |\n", s.N, marked(s.Did), marked(found), s.Minutes, marked(engine), marked(s.moved()))
	}
	if d.Lesson.Debrief != "" && len(d.Late) == 0 {
		fmt.Fprintf(&b, "\n%s\n", marked(d.Lesson.Debrief))
	}
	for _, c := range d.Read {
		fmt.Fprintf(&b, "\n## %s\n\n%s\n", marked(c.Title), marked(c.About))
	}
	return b.String()
}

// marked makes a text harmless in a table of Markdown.
func marked(s string) string {
	return strings.NewReplacer("|", "\\|", "<", "&lt;", "`", "'", "\n", " ").Replace(visible(s))
}
