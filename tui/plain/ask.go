package plain

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
)

// Asker asks a person, line by line: no colours, no cursor, so that it works on a dumb terminal and
// with a screen reader.
type Asker struct {
	in  *bufio.Scanner
	out io.Writer
}

// NewAsker asks on out and reads the replies from in.
func NewAsker(in io.Reader, out io.Writer) *Asker {
	return &Asker{in: bufio.NewScanner(in), out: out}
}

func (a *Asker) line(prompt string) (string, bool) {
	fmt.Fprint(a.out, prompt)
	if !a.in.Scan() {
		fmt.Fprintln(a.out)
		return "", false
	}
	return strings.TrimSpace(a.in.Text()), true
}

// Probe lists the answers by number and takes a number, a word or a reading; s, c and n pass over
// the step, u takes the last one back, q ends the walk.
func (a *Asker) Probe(ctx context.Context, w *visit.WalkView) (Reply, error) {
	for i, word := range w.Offer.Probe.Answers {
		fmt.Fprintf(a.out, "    %d  %s\n", i+1, word)
	}
	if unit := w.Offer.Probe.Unit; unit != "" {
		fmt.Fprintf(a.out, "    or the reading, as in 4.1 %s\n", unit)
	}
	for {
		text, ok := a.line("answer (s not today, c cannot tell, n not safe, u undo, q leave): ")
		if !ok {
			return Reply{Stop: true}, nil
		}
		if r, done := common(text); done {
			return r, nil
		}
		if n, err := strconv.Atoi(text); err == nil && n >= 1 && n <= len(w.Offer.Probe.Answers) && w.Offer.Probe.Unit == "" {
			text = w.Offer.Probe.Answers[n-1]
		}
		r, err := Interpret(w, text)
		if err == nil {
			return r, nil
		}
		fmt.Fprintln(a.out, "  "+err.Error())
	}
}

// Remedy asks whether the remedy was carried out.
func (a *Asker) Remedy(ctx context.Context, w *visit.WalkView) (Reply, error) {
	for {
		text, ok := a.line("done? (y done, s not today, n not safe, u undo, q leave): ")
		if !ok {
			return Reply{Stop: true}, nil
		}
		if strings.EqualFold(text, "y") {
			return Reply{Command: visit.TryRemedy{}}, nil
		}
		if r, done := common(text); done {
			return r, nil
		}
	}
}

// common are the replies that every step takes.
func common(text string) (Reply, bool) {
	switch strings.ToLower(text) {
	case "s":
		return Reply{Command: visit.SkipStep{How: faulttree.Skipped}}, true
	case "c":
		return Reply{Command: visit.SkipStep{How: faulttree.CannotTell}}, true
	case "n":
		return Reply{Command: visit.SkipStep{How: faulttree.NotSafe}}, true
	case "u":
		return Reply{Command: visit.UndoLast{}}, true
	case "q":
		return Reply{Stop: true}, true
	}
	return Reply{}, false
}

// End hands on.
func (a *Asker) End(context.Context, *visit.WalkView) (Reply, error) { return Reply{Stop: true}, nil }
