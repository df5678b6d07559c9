package plain

import (
	"fmt"
	"slices"
	"strings"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
)

// help tells the replies that every step takes.
const help = `  s [reason]    not today           c [reason]   tried, cannot tell
  x [reason]    not safe today      u            take the last step back
  w [cause]     why: what speaks for and against a suspect
  a [probe]     ask this probe now, or again; alone it lists what may be asked
  o [probe]     open a step that was passed over; alone it lists them
  r [cause]     what if I swap it now: the remedy of this cause
  b             take the better step      e   stop watching the feed
  n TEXT        a note for the record
  l             leave: the visit stays open (walk --visit takes it up again)
  q [outcome]   close the visit with what it has come to, or as you say:
                not safe today, no fault found, handed on
`

// common are the replies that every step takes; done is false where another line is to be read, and what
// was wrong with this one, or what was asked to be shown, has been told.
func (a *Asker) common(w *visit.WalkView, text string) (r Reply, done bool) {
	word, rest, _ := strings.Cut(text, " ")
	word, rest = strings.ToLower(word), strings.TrimSpace(rest)
	if how, ok := passes[word]; ok {
		return command(visit.SkipStep{How: how, Reason: rest})
	}
	switch word {
	case "u":
		return command(visit.UndoLast{})
	case "b":
		return command(visit.TakeBetter{})
	case "e":
		return command(visit.EndTrial{})
	case "l":
		return Reply{Leave: true}, true
	case "w":
		a.explain(w, rest)
		return Reply{}, false
	}
	return a.named(w, word, rest, text)
}

// sayable are the outcomes that need no proof but the technician's word.
var sayable = []string{visit.NotSafeToday, visit.NoFaultFound, visit.HandedOn, visit.MendedOnly}

// passes are the words by which a step is passed over.
var passes = map[string]faulttree.Act{
	"s": faulttree.Skipped, "c": faulttree.CannotTell, "x": faulttree.NotSafe,
	string(faulttree.Skipped): faulttree.Skipped, string(faulttree.CannotTell): faulttree.CannotTell, string(faulttree.NotSafe): faulttree.NotSafe,
}

func command(c visit.Command) (Reply, bool) { return Reply{Command: c}, true }

// named are the replies that name a probe or a cause, or carry a text; without one they list what there is.
func (a *Asker) named(w *visit.WalkView, word, rest, text string) (Reply, bool) {
	switch {
	case word == "q" && (rest == "" || slices.Contains(sayable, strings.ToLower(rest))):
		return Reply{Stop: true, Outcome: strings.ToLower(rest)}, true
	case word == "n" && rest != "":
		return command(visit.AddNote{Text: rest})
	case word == "a" && rest != "":
		return command(visit.AskProbe{Probe: rest})
	case word == "o" && rest != "":
		return command(visit.BringBackProbe{Probe: rest})
	case word == "r" && w.Offer.Remedy != nil && w.Offer.Remedy.ID == rest:
		fmt.Fprintln(a.out, "  that is the offered step: y when it is done, u to go back")
	case word == "r" && a.base.Causes[rest] != nil:
		return command(visit.TryRemedy{Cause: rest})
	case word == "a":
		a.listQuestions(w)
	case word == "o":
		a.listPassed(w)
	case word == "r":
		a.listSuspects(w)
	case word == "?":
		fmt.Fprint(a.out, help+a.AsideHelp)
	default:
		fmt.Fprintf(a.out, "  %q is no reply to this step; ? lists what can be said\n", text)
	}
	return Reply{}, false
}

// explain tells what speaks for and against a suspect; without a name, the first.
func (a *Asker) explain(w *visit.WalkView, cause string) {
	if cause == "" && len(w.Suspects) > 0 {
		cause = w.Suspects[0].Cause
	}
	e, ok := w.Explain(cause)
	if !ok {
		fmt.Fprintf(a.out, "  %q is no suspect here\n", cause)
		a.listSuspects(w)
		return
	}
	fmt.Fprintf(a.out, "  %s: %.0f %% now, %.0f %% at the start\n", e.Title, 100*e.Probability, 100*e.Prior)
	a.texts("", e.About)
	a.texts("for: ", e.For...)
	a.texts("against: ", e.Against...)
	a.texts("remedy: ", e.Remedy)
	a.texts("proof: ", e.Proof)
}

// texts tells texts that are not empty, each with what it is.
func (a *Asker) texts(head string, all ...string) {
	for _, text := range all {
		if text != "" {
			fmt.Fprintf(a.out, "    %s%s\n", head, text)
		}
	}
}

func (a *Asker) listQuestions(w *visit.WalkView) {
	if len(w.Questions) == 0 {
		fmt.Fprintln(a.out, "  nothing may be asked now")
	}
	for _, q := range w.Questions {
		fmt.Fprintf(a.out, "  %-20s %4.1f bit %3.0f min  %s\n", q.Probe, q.Bits, q.Minutes, a.base.Probes[q.Probe].Ask)
	}
}

func (a *Asker) listPassed(w *visit.WalkView) {
	listed := map[string]bool{}
	for _, t := range slices.Backward(w.Path) {
		switch t.Step.Act {
		case faulttree.Skipped, faulttree.CannotTell, faulttree.NotSafe:
			if id := t.Step.Probe; id != "" && !listed[id] {
				listed[id] = true
				fmt.Fprintf(a.out, "  %-20s %s\n", id, t.Title)
			}
		}
	}
	if len(listed) == 0 {
		fmt.Fprintln(a.out, "  nothing was passed over")
	}
}

func (a *Asker) listSuspects(w *visit.WalkView) {
	for _, s := range w.Suspects {
		fmt.Fprintf(a.out, "  %-20s %3.0f %%  %s\n", s.Cause, 100*s.Probability, title(s))
	}
}
