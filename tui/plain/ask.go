package plain

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
)

// Asker asks a person, line by line: no colours, no cursor, so that it works on a dumb terminal and
// with a screen reader.
type Asker struct {
	lines chan string
	out   io.Writer
	base  *knowledge.Base
	// Aside takes replies of its own before all others, and says what there is to say; nil: there are none.
	// AsideHelp tells what they are.
	Aside     func(ctx context.Context, text string) (said string, ok bool)
	AsideHelp string
}

// NewAsker asks on out and reads the replies from in, as they come: a reply may be typed while the feed
// is watched. The reading ends with the input.
func NewAsker(in io.Reader, out io.Writer, base *knowledge.Base) *Asker {
	a := &Asker{lines: make(chan string), out: out, base: base}
	go func() {
		defer close(a.lines)
		for s := bufio.NewScanner(in); s.Scan(); {
			a.lines <- strings.TrimSpace(s.Text())
		}
	}()
	return a
}

// line prompts for one line; ok is false when there will be none.
func (a *Asker) line(ctx context.Context, prompt string) (text string, ok bool) {
	fmt.Fprint(a.out, prompt)
	select {
	case text, ok = <-a.lines:
	case <-ctx.Done():
	}
	if !ok {
		fmt.Fprintln(a.out)
	}
	return text, ok
}

// until asks until a reply makes sense. own are the replies of this step, tried before those that every
// step takes.
func (a *Asker) until(ctx context.Context, w *visit.WalkView, prompt string, own func(text string) (Reply, bool)) (Reply, error) {
	for {
		text, ok := a.line(ctx, prompt)
		if !ok {
			return Reply{Leave: true}, ctx.Err() // nobody has closed the visit
		}
		if a.Aside != nil {
			if said, taken := a.Aside(ctx, text); taken {
				fmt.Fprintln(a.out, "  "+said)
				continue
			}
		}
		if r, done := own(text); done {
			return r, nil
		}
		if r, done := a.common(w, text); done {
			return r, nil
		}
	}
}

// Probe asks for the cautions first, then lists the answers by number and takes a number, a word or a
// reading. What is done by hand is begun first, so that what the feed shows meanwhile is no evidence.
func (a *Asker) Probe(ctx context.Context, w *visit.WalkView) (Reply, error) {
	if !w.AckedCautions {
		return a.cautions(ctx, w)
	}
	p := w.Offer.Probe
	for i, word := range p.Answers {
		fmt.Fprintf(a.out, "    %d  %s\n", i+1, word)
	}
	if p.Unit != "" {
		fmt.Fprintf(a.out, "    or the reading, as in 4.1 %s\n", typedUnit(p.Unit))
	}
	prompt := "answer (? help): "
	begins := p.Kind == "prompted" && w.Trial == nil
	switch {
	case w.Trial != nil && w.Trial.Answer != "":
		prompt = fmt.Sprintf("Enter takes %q; another answer overrules the feed, on the record (? help): ", w.Trial.Answer)
	case begins && p.Trial != "":
		prompt = "Enter begins it, and the feed is watched; or say the answer (? help): "
	case begins:
		prompt = "Enter begins it; or say the answer (? help): "
	}
	return a.until(ctx, w, prompt, func(text string) (Reply, bool) {
		switch {
		case text == "" && begins:
			return Reply{Command: visit.BeginTrial{}}, true
		case text == "" && w.Trial != nil && w.Trial.Answer != "":
			return Reply{Command: visit.AnswerProbe{Probe: p.ID, Answer: w.Trial.Answer}}, true
		case text == "":
			return Reply{}, false
		}
		return a.answered(w, text)
	})
}

// answered is an answer by number, word or reading; ok is false for anything else.
func (a *Asker) answered(w *visit.WalkView, text string) (r Reply, ok bool) {
	p := w.Offer.Probe
	if n, err := strconv.Atoi(text); err == nil && n >= 1 && n <= len(p.Answers) && p.Unit == "" {
		text = p.Answers[n-1]
	}
	switch faulttree.Act(text) {
	case faulttree.Skipped, faulttree.CannotTell, faulttree.NotSafe: // these may carry a reason: see common
		return Reply{}, false
	}
	if possible(p, text) != nil {
		return Reply{}, false
	}
	r, err := Interpret(w, text)
	return r, err == nil
}

// Remedy asks whether the remedy was carried out.
func (a *Asker) Remedy(ctx context.Context, w *visit.WalkView) (Reply, error) {
	if !w.AckedCautions {
		return a.cautions(ctx, w)
	}
	return a.until(ctx, w, "done? (y done, s not today, ? help): ", func(text string) (Reply, bool) {
		if yes(text) {
			return Reply{Command: visit.TryRemedy{}}, true
		}
		return Reply{}, false
	})
}

// End says how it stands; a person may still open what was passed over, or ask something else.
func (a *Asker) End(ctx context.Context, w *visit.WalkView) (Reply, error) {
	if w.Offer.Further != "" {
		return a.until(ctx, w, "Enter closes the visit; b: "+w.Offer.Further+" (? help): ", closing)
	}
	return a.until(ctx, w, "Enter closes the visit, with what it has come to; o, a, u go on (? help): ", closing)
}

func closing(text string) (Reply, bool) { return Reply{Stop: true}, text == "" }

// cautions are read and acknowledged before the step, on the record.
func (a *Asker) cautions(ctx context.Context, w *visit.WalkView) (Reply, error) {
	return a.until(ctx, w, "cautions read and understood? (y yes, s not today, x not safe, ? help): ", func(text string) (Reply, bool) {
		if yes(text) {
			return Reply{Command: visit.Acknowledge{}}, true
		}
		return Reply{}, false
	})
}

func yes(text string) bool { return strings.EqualFold(text, "y") || strings.EqualFold(text, "yes") }
