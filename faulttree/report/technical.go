package report

import (
	"fmt"
	"strings"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
)

// technical is what follows page one.
func (r Report) technical() []block {
	out := []block{pageBreak{}, heading{1, "Technical part"}}
	if r.visit.Invented() {
		out = append(out, paragraph{InventedNotice, true})
	}
	out = append(out, figure{"Level over the visit"})
	out = append(out, r.foundLeft()...)
	out = append(out, r.dips()...)
	out = append(out, r.path()...)
	out = append(out, r.proofs()...)
	out = append(out, r.cautions()...)
	out = append(out, r.notes()...)
	return append(out, r.basis()...)
}

func (r Report) foundLeft() []block {
	v := &r.visit
	if v.Found == nil && v.Left == nil {
		return []block{heading{2, "As found and as left"}, paragraph{"No findings were recorded.", false}}
	}
	out := []block{heading{2, "As found and as left"}, table{[]string{"Check", "As found", "As left"}, r.sideBySide(), 1}}
	if v.Found != nil {
		out = append(out, heading{2, "Findings as found"}, r.findings(v.Found.Findings))
		if len(v.Found.Desk) > 0 {
			out = append(out, heading{2, "Desk checks of the site sheet"}, r.findings(v.Found.Desk))
		}
	}
	if v.Left != nil {
		out = append(out, heading{2, "Findings as left"}, r.findings(v.Left.Findings))
	}
	return out
}

func (r Report) sideBySide() [][]string {
	v := &r.visit
	rows := [][]string{{"Level", r.levelOf(v.Found), r.levelOf(v.Left)}}
	var order []string
	side := map[string][2]string{}
	for i, b := range []*visit.FindingsBody{v.Found, v.Left} {
		if b == nil {
			continue
		}
		for _, f := range b.Findings {
			cell, seen := side[f.Check]
			if !seen {
				order = append(order, f.Check)
			}
			cell[i] = r.brief(f)
			side[f.Check] = cell
		}
	}
	for _, c := range order {
		rows = append(rows, []string{words(c), orDash(side[c][0]), orDash(side[c][1])})
	}
	return rows
}

func orDash(s string) string {
	if s == "" {
		return "not recorded"
	}
	return s
}

func (r Report) levelOf(b *visit.FindingsBody) string {
	if b == nil || b.Level == nil {
		return "not recorded"
	}
	return r.level(b.Level)
}

// mark tells a verdict without colour.
func mark(verdict string) string {
	switch verdict {
	case "pass":
		return "+ pass"
	case "fail":
		return "! fail"
	}
	return "? cannot tell"
}

func (r Report) brief(f visit.FindingRecord) string {
	out := mark(f.Verdict)
	var grades []string
	for _, g := range f.Grades {
		grades = append(grades, words(g.Word))
	}
	if len(grades) > 0 {
		out += ": " + strings.Join(grades, ", ")
	}
	return out
}

func (r Report) findings(fs []visit.FindingRecord) block {
	t := table{head: []string{"Check", "Verdict", "Figures", "Limit and source", "Why"}, wide: 4}
	for _, f := range fs {
		var figures []string
		for _, g := range f.Figures {
			if g.Value != nil {
				figures = append(figures, r.label(g.Name)+" "+figureText(r.opt.Units, g))
			}
		}
		why := sentence(f.Why)
		if f.Missing != "" {
			why = strings.TrimSpace(why + " It would tell: " + sentence(f.Missing))
		}
		if f.Change != "" {
			why = strings.TrimSpace(why + " Change: " + sentence(f.Change))
		}
		t.rows = append(t.rows, []string{words(f.Check), mark(f.Verdict), strings.Join(figures, ", "), limit(f), why})
	}
	return t
}

func limit(f visit.FindingRecord) string {
	if f.Source == "" {
		return f.Limit
	}
	return strings.TrimSpace(f.Limit + " (" + f.Source + ")")
}

// label is a figure's name in words, without the unit that the number carries.
func (r Report) label(name string) string {
	if w, ok := behaviourWords[name]; ok {
		return w
	}
	for _, s := range kinds {
		if s.suffix != "_share" {
			name = strings.TrimSuffix(name, s.suffix)
		}
	}
	return strings.ReplaceAll(name, "_", " ")
}

func (r Report) path() []block {
	t := table{head: []string{"Time", "Step", "Answer", "Why this step", "min"}, wide: 1}
	for _, s := range r.visit.Steps {
		if s.Act == faulttree.Evidence {
			continue // the checks say it above, in their own words
		}
		t.rows = append(t.rows, []string{r.clock(s.At), stepTitle(s), r.answer(s), s.Why, fmt.Sprintf("%.0f", s.Minutes)})
	}
	if len(t.rows) == 0 {
		return nil
	}
	sum := fmt.Sprintf("Technician's time on the walk: %.0f minutes.", r.visit.Minutes())
	return []block{heading{2, "Fault path"}, t, paragraph{sum, false}}
}

func stepTitle(s visit.StepAt) string {
	name := orWords(s.Title, orWords(s.Probe, s.Cause))
	switch s.Act {
	case faulttree.Remedied:
		name = "Remedy: " + name
	case faulttree.PutBack:
		name = "Put back: " + name
	case faulttree.ProofRun:
		name = "Proof: " + name
	case faulttree.BringBack:
		name = "Taken up again: " + name
	case faulttree.FollowedUp:
		name = "Asked beyond the cure: " + name
	case faulttree.Finished:
		name = "End of the walk: " + words(s.Outcome)
	}
	if s.From != "" {
		name += " (" + s.From + ")"
	}
	if s.Undone {
		name += " [taken back]"
	}
	return name
}

func (r Report) answer(s visit.StepAt) string {
	out := s.Answer
	switch s.Act {
	case faulttree.Skipped:
		out = "skipped"
	case faulttree.CannotTell:
		out = "cannot tell"
	case faulttree.NotSafe:
		out = "not done: not safe"
	}
	if s.Value != nil {
		out = strings.TrimPrefix(out+", "+r.reading(*s.Value, s.Unit), ", ")
	}
	if s.Limit != "" {
		out += " (limit: " + s.Limit + ")"
	}
	if s.Reason != "" {
		out += ": " + s.Reason
	}
	return out
}

func (r Report) proofs() []block {
	var items []string
	for _, s := range r.visit.Proofs() {
		text := orWords(s.Title, s.Probe) + ": " + r.answer(s)
		if s.Proven {
			text += " (proven)"
		}
		items = append(items, text)
	}
	o := r.visit.Outcome
	if r.visit.Closed {
		items = append(items, "Believed to have cured it: "+causeName(o, o.Believed, "not said"),
			"Proven to have cured it: "+causeName(o, o.Proven, "nothing proven"))
	}
	if text := r.damage(); text != "" {
		items = append(items, text)
	}
	if len(items) == 0 {
		return nil
	}
	return []block{heading{2, "Proof"}, list{items}}
}

// damage says what killed the part that was mended, where that was asked; "" where it was not.
func (r Report) damage() string {
	if o := r.visit.Outcome; o.Because != "" {
		return "What did the damage: " + orWords(o.BecauseTitle, o.Because)
	}
	for _, s := range r.visit.Standing() {
		if s.Act == faulttree.FollowedUp {
			return "What did the damage was asked and stays open"
		}
	}
	return ""
}

// causeName is the title where the outcome holds it, else the id in words.
func causeName(o visit.OutcomeBody, id, none string) string {
	switch {
	case id == "":
		return none
	case id == o.Cause:
		return orWords(o.Title, id)
	}
	return words(id)
}

func (r Report) cautions() []block {
	t := table{head: []string{"Acknowledged", "Hazard", "Caution"}, wide: 2}
	for _, c := range r.visit.Cautions {
		for _, k := range c.Cautions {
			t.rows = append(t.rows, []string{r.clock(c.At), words(k.Hazard), k.Text})
		}
	}
	general := paragraph{"Local codes and licensed practice come before anything in this report. Mains work is for a licensed electrician.", false}
	if len(t.rows) == 0 {
		return []block{heading{2, "Cautions"}, general}
	}
	return []block{heading{2, "Cautions"}, t, general}
}

func (r Report) notes() []block {
	var items []string
	for _, n := range r.visit.Notes {
		text := r.clock(n.At) + ": " + n.Text
		for _, f := range n.Files {
			text += fmt.Sprintf(" [file %s, %d bytes, sha256 %s]", f.Path, f.Length, f.SHA256)
		}
		if n.Undone {
			text += " [taken back]"
		}
		items = append(items, text)
	}
	for _, c := range r.visit.Corrections {
		items = append(items, fmt.Sprintf("%s: corrected %s from %q to %q. %s", r.clock(c.At), c.Field, c.Was, c.Value, c.Reason))
	}
	if len(items) == 0 {
		return nil
	}
	return []block{heading{2, "Notes"}, list{items}}
}

// basis is what the report rests on.
func (r Report) basis() []block {
	v := &r.visit
	var items []string
	for _, s := range v.Sources {
		items = append(items, "Feed: "+r.source(s))
	}
	for _, c := range v.Captures() {
		items = append(items, fmt.Sprintf("Raw capture: %s, first %d bytes, sha256 %s", c.Path, c.Length, c.SHA256))
	}
	if v.Complaint.Knowledge != "" {
		items = append(items, "Knowledge: "+v.Complaint.Knowledge)
	}
	for _, u := range v.Unread {
		items = append(items, "Not shown: "+u)
	}
	items = append(items, fmt.Sprintf("Visit %s, %d events, written by %s", v.ID, v.Events, r.opt.Program))
	return []block{heading{2, "What this rests on"}, list{items}}
}

func (r Report) source(s visit.SourceRecord) string {
	out := s.Source
	if s.Baud > 0 {
		out += fmt.Sprintf(" at %d baud", s.Baud)
	}
	if s.Invented {
		out += " (practice rig: invented data)"
	}
	if s.DialectName != "" {
		out += ", dialect " + s.DialectName
	}
	if s.SheetName != "" {
		out += ", site sheet " + s.SheetName
	}
	if !s.To.IsZero() {
		out += ", ended " + r.clock(s.To) + " (" + s.Why + ")"
	}
	return out
}
