package plain

import (
	"context"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/sheet"
)

// ReadAnswers reads a file of answers: under "answers", for each probe an answer word, a reading
// with its unit, skip, or (a prompted probe) watch: it is done then, and the feed is watched for the
// answer. A list of these gives the answer as found first, then what each proof with
// that probe showed.
func ReadAnswers(path string, base *knowledge.Base) (*Answers, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("reading the answers: %w", err)
	}
	return ParseAnswers(path, data, base)
}

// Answers are the answers of a file; each is used when its probe is offered, and once.
type Answers struct {
	found  map[string]string   // as found
	proofs map[string][]string // after a remedy, in order
}

// ParseAnswers parses the text of an answers file; every answer that its probe cannot have is reported
// with its place.
func ParseAnswers(name string, data []byte, base *knowledge.Base) (*Answers, error) {
	doc, err := sheet.Parse(name, data)
	if err != nil {
		return nil, err
	}
	a := &Answers{found: map[string]string{}, proofs: map[string][]string{}}
	top := doc.Map()
	answers := top.Map("answers")
	for _, e := range answers.Entries() {
		p := base.Probes[e.Key]
		if p == nil {
			answers.Problem(e.Key, "no probe is called %q%s", e.Key, meant(e.Key, base))
			continue
		}
		for _, n := range items(e.Value) {
			if err := possible(p, n.Text()); err != nil {
				n.Problem("%v", err)
			}
		}
		if all := texts(e.Value); len(all) > 0 {
			a.found[e.Key], a.proofs[e.Key] = all[0], all[1:]
		}
	}
	top.Done()
	return a, doc.Err()
}

func meant(word string, base *knowledge.Base) string {
	if near := sheet.Nearest(word, slices.Sorted(maps.Keys(base.Probes))); near != "" {
		return " (did you mean " + near + "?)"
	}
	return ""
}

func items(n *sheet.Node) []*sheet.Node {
	if n.Kind != sheet.List {
		return []*sheet.Node{n}
	}
	return n.Items()
}

func texts(n *sheet.Node) []string {
	var out []string
	for _, item := range items(n) {
		out = append(out, item.Text())
	}
	return out
}

// Watched are the probes of the file that the tool would read or watch in the feed: here somebody answers them.
func (a *Answers) Watched(base *knowledge.Base) (out []string) {
	for id := range a.found {
		if p := base.Probes[id]; p != nil && (p.Kind == "watch" || slices.Contains(p.Needs, "feed")) {
			out = append(out, id)
		}
	}
	return out
}

// watchIt is written for a prompted probe that is done when it is offered: the feed is watched for its answer.
const watchIt = "watch"

// possible tells whether a probe can be answered so.
func possible(p *knowledge.Probe, text string) error {
	text = strings.TrimSpace(text)
	switch faulttree.Act(text) {
	case faulttree.Skipped, faulttree.CannotTell, faulttree.NotSafe:
		return nil
	case watchIt:
		if p.Trial == "" {
			return fmt.Errorf("%q is no answer of %s: the feed cannot show it", text, p.ID)
		}
		return nil
	}
	if wordOf(p, text) != "" {
		return nil
	}
	words := strings.Join(p.Answers, ", ")
	if len(p.Bands) == 0 { // a unit alone is for the record: the reading does not tell the answer
		return fmt.Errorf("%q is no answer of %s: they are %s; or skip, cannot-tell, not-safe", text, p.ID, words)
	}
	if _, err := quantity.ParseTyped(text, typedUnit(p.Unit)); err != nil {
		return fmt.Errorf("%q is no answer of %s: they are %s, or a reading in %s: %w", text, p.ID, words, typedUnit(p.Unit), err)
	}
	return nil
}

// wordOf is the answer that was meant, in capitals or not, with blanks more or less; "" for none.
func wordOf(p *knowledge.Probe, text string) string {
	text = strings.Join(strings.Fields(text), " ")
	for _, word := range p.Answers {
		if strings.EqualFold(word, text) {
			return word
		}
	}
	return ""
}

// typedUnit is that of a reading without one: capacitors are in uF on every meter.
func typedUnit(unit string) string {
	if unit == "F" {
		return "uF"
	}
	return unit
}

// Probe answers from the file; what it does not answer is skipped.
func (a *Answers) Probe(_ context.Context, w *visit.WalkView) (Reply, error) {
	text, ok := a.next(w.Offer.Probe.ID, w.Offer.Proof)
	if !ok {
		return Reply{Command: visit.SkipStep{How: faulttree.Skipped, Reason: "no answer in the file"}}, nil
	}
	r, err := Interpret(w, text)
	c, answered := r.Command.(visit.AnswerProbe)
	if !answered || c.Value == nil {
		return r, err
	}
	if _, ok := w.Classify(c.Probe, *c.Value); !ok {
		why := fmt.Sprintf("%s; the site sheet lacks %s for its limits", text, strings.Join(w.Offer.Missing, ", "))
		return Reply{Command: visit.SkipStep{How: faulttree.CannotTell, Reason: why}}, nil
	}
	return r, err
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

// The figures by which a file of answers comes to a verdict; engineering judgement.
const (
	// sureFrom is the belief from which nothing more is asked: one slip of a technician in twenty is left.
	sureFrom = 0.95
	// leadFrom is the belief from which, when the file has nothing more to say, the first suspect is named:
	// likelier right than wrong, and by leadBy likelier than the next.
	leadFrom, leadBy = 0.50, 1.5
	// clearFrom is what it takes instead where some probe without an answer would still bring muchUntold bits: half
	// of what a technician would find is missing, and the next answer may well turn it.
	clearFrom, muchUntold = 0.78, 0.30
	// worthAsking is what an answer of the file must bring to be taken in, in bits.
	worthAsking = 0.01
)

// Remedy ends the walk with the cause named: a file of answers cannot turn a screw. It goes on where the
// file knows what the proof showed afterwards, and it does not stop at a hunch while the file still has
// something to say of it.
func (a *Answers) Remedy(ctx context.Context, w *visit.WalkView) (Reply, error) {
	c := w.Offer.Remedy
	if len(a.proofs[c.Proof.Probe]) > 0 {
		return Reply{Command: visit.TryRemedy{}}, nil
	}
	if w.Suspects[0].Cause == c.ID && w.Suspects[0].Probability >= sureFrom && w.Suspects[0].Shown {
		return Reply{Cause: c.ID}, nil
	}
	return a.End(ctx, w)
}

// End asks what the file can still answer, the most telling first; then it names the cause that leads
// clearly, or hands on.
func (a *Answers) End(_ context.Context, w *visit.WalkView) (Reply, error) {
	for _, q := range w.Questions {
		if _, ok := a.found[q.Probe]; ok && q.Bits >= worthAsking && q.Probe != offered(w) {
			return Reply{Command: visit.AskProbe{Probe: q.Probe}}, nil
		}
	}
	return Reply{Cause: leader(w), Stop: true}, nil
}

func offered(w *visit.WalkView) string {
	if w.Offer.Probe == nil {
		return ""
	}
	return w.Offer.Probe.ID
}

// leader is the cause that leads clearly; "" where none does. Something unlisted is never a diagnosis, nor is
// what the answers of a sound installation would make the likeliest.
func leader(w *visit.WalkView) string {
	if len(w.Suspects) < 2 || w.Suspects[0].Cause == faulttree.Unlisted || !w.Suspects[0].Shown {
		return ""
	}
	from := leadFrom
	if w.Untold >= muchUntold {
		from = clearFrom
	}
	if p := w.Suspects[0].Probability; p < from || p < leadBy*w.Suspects[1].Probability {
		return ""
	}
	return w.Suspects[0].Cause
}

// Interpret turns what was written for a probe into the session's command: an answer word, a reading
// with its unit, or skip, cannot-tell, not-safe.
func Interpret(w *visit.WalkView, text string) (Reply, error) {
	p := w.Offer.Probe
	text = strings.TrimSpace(text)
	switch act := faulttree.Act(text); act {
	case faulttree.Skipped, faulttree.CannotTell, faulttree.NotSafe:
		return Reply{Command: visit.SkipStep{How: act}}, nil
	case watchIt:
		return Reply{Command: visit.BeginTrial{}}, possible(p, text)
	}
	if err := possible(p, text); err != nil {
		return Reply{}, err
	}
	if word := wordOf(p, text); word != "" {
		return Reply{Command: visit.AnswerProbe{Probe: p.ID, Answer: word}}, nil
	}
	q, err := quantity.ParseTyped(text, typedUnit(p.Unit))
	if err != nil {
		return Reply{}, err
	}
	return Reply{Command: visit.AnswerProbe{Probe: p.ID, Value: &q.V}}, nil
}
