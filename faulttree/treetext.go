package faulttree

import (
	"encoding/json"
	"fmt"
	"strings"
	"unicode/utf8"
)

// Text is the tree for a terminal or a page of the given width.
func (t Tree) Text(width int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n%q\n\n", t.Title, t.Opening)
	t.Root.text(&b, "", max(width, 40))
	b.WriteString("\n")
	for _, r := range t.Remedies {
		b.WriteString(wrap(r.Cause+": "+r.Title+". "+r.Remedy, "", "  ", max(width, 40)))
	}
	b.WriteString("\n")
	for _, line := range t.Figures.lines() {
		b.WriteString(wrap(line, "", "  ", max(width, 40)))
	}
	return b.String()
}

// text writes a box and what hangs below it; lead is what stands at the left of its lines.
func (b *Box) text(out *strings.Builder, lead string, width int) {
	if b.Probe == "" {
		b.leafText(out, lead, width)
		return
	}
	head := fmt.Sprintf("%d. %s (%s, %s min)", b.Number, b.Ask, b.Kind, short(b.Minutes))
	if b.Good != "" {
		head += " Good: " + b.Good + "."
	}
	if h := hazardWords(b.Cautions); h != "" {
		head += " ! " + h
	}
	out.WriteString(wrap(head, lead, lead+"   ", width))
	for i, t := range b.Branches {
		branch, below := lead+"├─ ", lead+"│  "
		if i == len(b.Branches)-1 {
			branch, below = lead+"└─ ", lead+"   "
		}
		if t.Box.Probe == "" {
			out.WriteString(wrap(t.Answer+" → "+t.Box.leafLine(), branch, below+"   ", width))
			continue
		}
		out.WriteString(wrap(t.Answer+":", branch, below, width))
		t.Box.text(out, below, width)
	}
}

func (b *Box) leafText(out *strings.Builder, lead string, width int) {
	out.WriteString(wrap(b.leafLine(), lead, lead+"   ", width))
}

// leafLine names the suspects by their ids, with their shares; what they are and what to do stands once,
// below the tree.
func (b *Box) leafLine() string {
	var names []string
	for _, s := range b.Suspects {
		names = append(names, s.Cause+" "+percent(s.Probability))
	}
	line := strings.Join(names, ", ")
	if b.HandOn {
		line += ": hand on"
	}
	return line
}

// hazardWords are the hazard classes of a box in a few words.
func hazardWords(cautions []Caution) string {
	var words []string
	for _, c := range cautions {
		if c.Hazard != "elv" && c.Hazard != "step" {
			words = append(words, strings.ReplaceAll(c.Hazard, "-", " "))
		}
	}
	return strings.Join(words, ", ")
}

func (f TreeFigures) lines() []string {
	return []string{
		fmt.Sprintf("Of 100 visits %.0f end with one suspect, %.0f with two at most, %.0f with three at most (those that hold 90 %% of the belief; %.1f on average).",
			100*f.To1, 100*f.To2, 100*f.To3, f.Group),
		fmt.Sprintf("Expected %.0f weighed minutes; the first suspect is right in %.0f of 100. %d boxes. Shares and minutes are engineering judgement, no published source.",
			f.Minutes, 100*f.TopRight, f.Boxes),
		"Local codes and licensed practice win over everything here. Mains: isolate, lock out, prove dead; only who may.",
	}
}

// wrap breaks a line at spaces, but not between a number and its percent sign; first and rest stand at
// the left.
func wrap(text, first, rest string, width int) string {
	var out strings.Builder
	lead, line := first, ""
	for _, word := range strings.Split(strings.ReplaceAll(text, " %", "\u00a0%"), " ") {
		if line != "" && utf8.RuneCountInString(lead)+utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			out.WriteString(lead + line + "\n")
			lead, line = rest, ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	out.WriteString(lead + line + "\n")
	return strings.ReplaceAll(out.String(), "\u00a0", " ")
}

func short(v float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0") }

// Markdown is the tree as nested lists.
func (t Tree) Markdown() string {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n\n%s\n\n", markdown(t.Title), markdown(t.Opening))
	t.Root.markdown(&b, "")
	b.WriteString("\n")
	for _, r := range t.Remedies {
		fmt.Fprintf(&b, "- **%s**: %s. %s\n", r.Cause, markdown(r.Title), markdown(r.Remedy))
	}
	b.WriteString("\n")
	for _, line := range t.Figures.lines() {
		b.WriteString(markdown(line) + "\n\n")
	}
	return b.String()
}

func (b *Box) markdown(out *strings.Builder, lead string) {
	if b.Probe == "" {
		fmt.Fprintf(out, "%s- %s\n", lead, markdown(b.leafLine()))
		return
	}
	fmt.Fprintf(out, "%s- **%d. %s** (%s, %s min)", lead, b.Number, markdown(b.Ask), b.Kind, short(b.Minutes))
	if b.Good != "" {
		out.WriteString(" Good: " + markdown(b.Good) + ".")
	}
	if h := hazardWords(b.Cautions); h != "" {
		out.WriteString(" **!** " + h)
	}
	out.WriteString("\n")
	for _, t := range b.Branches {
		if t.Box.Probe == "" {
			fmt.Fprintf(out, "%s  - *%s* → %s\n", lead, markdown(t.Answer), markdown(t.Box.leafLine()))
			continue
		}
		fmt.Fprintf(out, "%s  - *%s*\n", lead, markdown(t.Answer))
		t.Box.markdown(out, lead+"    ")
	}
}

// markdown takes the meaning from characters that Markdown and HTML would read; knowledge may be a
// firm's own.
func markdown(s string) string {
	return strings.NewReplacer("\\", "\\\\", "*", "\\*", "_", "\\_", "`", "\\`", "<", "&lt;", ">", "&gt;", "[", "\\[", "]", "\\]",
		"|", "\\|", "#", "\\#", "\n", " ", "\r", " ").Replace(s)
}

// JSON is the tree as one document.
func (t Tree) JSON() ([]byte, error) {
	return json.MarshalIndent(struct {
		Schema string `json:"schema"`
		Tree
	}{"tankhand/tree/1", t}, "", "  ")
}
