package visit

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"example.org/tankhand/faulttree"
)

// Line is an event in one line for a person; an event that cannot be read says so.
func Line(e Event) string {
	body, err := Decode(e)
	if err != nil {
		return err.Error()
	}
	switch b := body.(type) {
	case BegunBody:
		return words(b.Site, b.Asset, by(b.Technician))
	case OpenedBody:
		return words(b.Source, invented(b.Invented), b.SheetName)
	case DialectBody:
		return fmt.Sprintf("%s, sure to %.0f %%", b.Name, 100*b.Confidence)
	case EndedBody:
		return b.Why
	case ComplaintBody:
		return words(b.Title, quoted(b.Words))
	case FindingsBody:
		return findingsLine(b)
	case ShownBody:
		return words(b.Title, b.Why)
	case CautionBody:
		return cautionLine(b)
	case StepBody:
		return stepLine(b)
	case UndoBody:
		return words("takes back an earlier step", b.Reason)
	case NoteBody:
		return b.Text
	case DipBody:
		return fmt.Sprintf("%s: %d levels by the tape, greatest error %.1f mm", b.When, len(b.Points), 1000*b.worst())
	case DrillBody:
		return b.line()
	case OutcomeBody:
		return words(b.Outcome, b.Title, b.FollowUp)
	case ReopenedBody:
		return b.Why
	case CorrectionBody:
		return words(b.Field+" is now "+b.Value, b.Reason)
	}
	return ""
}

func words(parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, "; ")
}

func by(name string) string {
	if name == "" {
		return ""
	}
	return "by " + name
}

func invented(yes bool) string {
	if yes {
		return "invented data"
	}
	return ""
}

func quoted(s string) string {
	if s == "" {
		return ""
	}
	return "“" + s + "”"
}

func findingsLine(b FindingsBody) string {
	var bad []string
	for _, f := range b.Findings {
		if f.Verdict == "fail" {
			bad = append(bad, f.Check)
		}
	}
	if len(bad) == 0 {
		return words(b.When, "no check fails")
	}
	return words(b.When, "fails: "+strings.Join(bad, ", "))
}

func cautionLine(b CautionBody) string {
	var hazards []string
	for _, c := range b.Cautions {
		hazards = append(hazards, c.Hazard)
	}
	return words("acknowledged: "+strings.Join(hazards, ", "), b.Step)
}

func stepLine(b StepBody) string {
	switch b.Act {
	case faulttree.Evidence:
		var out []string
		for _, probe := range sortedKeys(b.Grades) {
			out = append(out, probe+" "+b.Grades[probe])
		}
		return "from the feed: " + strings.Join(out, ", ")
	case faulttree.Answered, faulttree.ProofRun:
		return words(fmt.Sprintf("%s %s: %s%s", b.Act, b.Probe, b.Answer, valueWords(b)), b.Reason)
	case faulttree.Remedied, faulttree.PutBack:
		return words(fmt.Sprintf("%s %s", b.Act, b.Cause), b.CauseTitle)
	}
	return words(fmt.Sprintf("%s %s%s", b.Act, b.Probe, b.Cause), b.Reason)
}

func valueWords(b StepBody) string {
	if b.Value == nil {
		return ""
	}
	return strings.TrimRight(fmt.Sprintf(" (%g %s", *b.Value, b.Unit), " ") + ")"
}

func sortedKeys(m map[string]string) []string { return slices.Sorted(maps.Keys(m)) }
