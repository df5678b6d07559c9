package plain

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/sheet"
)

// ReadAnswers reads a file of answers: under "answers", for each probe an answer word, a reading
// with its unit, or skip. A list of these gives the answer as found first, then what each proof with
// that probe showed.
func ReadAnswers(path string) (*Answers, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("reading the answers: %w", err)
	}
	return ParseAnswers(path, data)
}

// Answers are the answers of a file; each is used when its probe is offered, and once.
type Answers struct {
	found  map[string]string   // as found
	proofs map[string][]string // after a remedy, in order
}

// ParseAnswers parses the text of an answers file.
func ParseAnswers(name string, data []byte) (*Answers, error) {
	doc, err := sheet.Parse(name, data)
	if err != nil {
		return nil, err
	}
	a := &Answers{found: map[string]string{}, proofs: map[string][]string{}}
	top := doc.Map()
	answers := top.Map("answers")
	for _, e := range answers.Entries() {
		if all := texts(e.Value); len(all) > 0 {
			a.found[e.Key], a.proofs[e.Key] = all[0], all[1:]
		}
	}
	top.Done()
	return a, doc.Err()
}

func texts(n *sheet.Node) []string {
	if n.Kind != sheet.List {
		return []string{n.Text()}
	}
	var out []string
	for _, item := range n.Items() {
		out = append(out, item.Text())
	}
	return out
}

// Probe answers from the file; what it does not answer is skipped.
func (a *Answers) Probe(_ context.Context, w *visit.WalkView) (Reply, error) {
	text, ok := a.next(w.Offer.Probe.ID, w.Offer.Proof)
	if !ok {
		return Reply{Command: visit.SkipStep{How: faulttree.Skipped, Reason: "no answer in the file"}}, nil
	}
	return Interpret(w, text)
}

func (a *Answers) next(probe string, proof bool) (text string, ok bool) {
	if !proof {
		text, ok = a.found[probe]
		delete(a.found, probe)
		return text, ok
	}
	if len(a.proofs[probe]) == 0 {
		return "", false
	}
	text, a.proofs[probe] = a.proofs[probe][0], a.proofs[probe][1:]
	return text, true
}

// Remedy ends the walk with the cause named: a file of answers cannot turn a screw. It goes on only
// where the file knows what the proof showed afterwards, and it does not stop at a hunch.
func (a *Answers) Remedy(_ context.Context, w *visit.WalkView) (Reply, error) {
	c := w.Offer.Remedy
	if len(a.proofs[c.Proof.Probe]) > 0 {
		return Reply{Command: visit.TryRemedy{}}, nil
	}
	for _, s := range w.Suspects {
		if s.Cause == c.ID && s.Probability < namedFrom {
			return Reply{Command: visit.SkipStep{How: faulttree.Skipped, Reason: "not sure enough to name it without a proof"}}, nil
		}
	}
	return Reply{Named: true}, nil
}

// namedFrom is the belief from which a cause counts as named: that at which the walk itself stops
// asking and offers the remedy.
const namedFrom = 0.70

// Interpret turns what was written for a probe into the session's command: an answer word, a reading
// with its unit, or skip, cannot-tell, not-safe.
func Interpret(w *visit.WalkView, text string) (Reply, error) {
	p := w.Offer.Probe
	text = strings.TrimSpace(text)
	switch act := faulttree.Act(text); act {
	case faulttree.Skipped, faulttree.CannotTell, faulttree.NotSafe:
		return Reply{Command: visit.SkipStep{How: act}}, nil
	}
	if slices.Contains(p.Answers, text) {
		return Reply{Command: visit.AnswerProbe{Probe: p.ID, Answer: text}}, nil
	}
	if p.Unit == "" {
		return Reply{}, fmt.Errorf("answer %q to %s: the answers are %s", text, p.ID, strings.Join(p.Answers, ", "))
	}
	q, err := quantity.ParseAny(text, p.Unit)
	if err != nil {
		return Reply{}, fmt.Errorf("answer %q to %s: it is neither one of %s nor a reading in %s: %w", text, p.ID, strings.Join(p.Answers, ", "), p.Unit, err)
	}
	return Reply{Command: visit.AnswerProbe{Probe: p.ID, Value: &q.V}}, nil
}
