package faulttree

import (
	"fmt"
	"slices"

	"example.org/tankhand/faulttree/knowledge"
)

// Path is the steps as lines of the tree: the feed's evidence first, each probe once with its newest
// word, then what the technician did, in order.
func (w Walk) Path() []Taken {
	if w.env == nil {
		return nil
	}
	s := w.situate()
	var out []Taken
	if w.after != nil {
		out = append(w.after.Path(), Taken{Step: Step{Act: FollowedUp, Cause: w.damage()}, Title: w.Complaint.Title, Mark: '?'})
	}
	out = append(out, w.evidenceLines(s)...)
	for i, step := range w.steps {
		if i < w.given {
			continue
		}
		if t, ok := w.line(s, i, step); ok {
			out = append(out, t)
		}
	}
	return out
}

// evidenceLines are the watch answers that say something: not the usual one, or one that moved a
// suspect by a bit.
func (w Walk) evidenceLines(s *situation) (out []Taken) {
	for p, k := range s.answer {
		if k < 0 || s.from[p] < w.given || w.steps[s.from[p]].Act != Evidence {
			continue
		}
		step := w.steps[s.from[p]]
		probe := w.env.base.Probes[s.m.probes[p].id]
		word := probe.Answers[k]
		mark := w.mark(probe, word)
		if mark == '+' && !s.speaks(p) {
			continue
		}
		title := step.Notes[probe.ID]
		if title == "" {
			title = fmt.Sprintf("%s: %s", probe.Ask, word)
		}
		out = append(out, Taken{Step: Step{Act: Evidence, Probe: probe.ID, Answer: word}, Title: title, From: "from the feed", Mark: mark})
	}
	return out
}

// speaks tells whether an answer moved any likely cause by a bit.
func (s *situation) speaks(p int) bool {
	e := s.expected(p, -1)
	for c, l := range s.m.probes[p].like[s.answer[p]] {
		if s.m.prior[c] >= 0.03 && e > 0 && (l > 2*e || l < e/2) {
			return true
		}
	}
	return false
}

// mark is + for the answer of a healthy installation and ! for any other.
func (w Walk) mark(p *knowledge.Probe, word string) rune {
	usual := p.Usual
	if own, ok := w.Complaint.Usual[p.ID]; ok && p.Kind != "watch" {
		usual = own
	}
	best := 0
	for i, v := range usual {
		if v > usual[best] {
			best = i
		}
	}
	if slices.Index(p.Answers, word) == best {
		return '+'
	}
	return '!'
}

// line is one step of the technician.
func (w Walk) line(s *situation, i int, step Step) (Taken, bool) {
	t := Taken{Step: step}
	p := w.env.base.Probes[step.Probe]
	switch step.Act {
	case Answered:
		t.Title = fmt.Sprintf("%s: %s", p.Ask, step.said(p))
		t.From, t.Mark = fromWord(p), w.mark(p, step.Answer)
		n, listed := s.m.index[step.Probe]
		t.Stale = s.stale[taken{i, step.Probe}] || listed && s.answer[n] >= 0 && s.from[n] != i
	case Skipped, CannotTell, NotSafe:
		t.Title, t.Mark = fmt.Sprintf("%s: %s", w.titleOf(step), passWord(step)), '?'
	case Remedied:
		t.Title, t.From, t.Mark = "Done: "+w.env.base.Causes[step.Cause].Remedy, "remedy", '?'
	case PutBack:
		t.Title, t.From, t.Mark = "Put back: "+w.env.base.Causes[step.Cause].Remedy, "remedy", '?'
	case ProofRun:
		t.Title, t.From = fmt.Sprintf("Proof: %s: %s", p.Ask, step.said(p)), fromWord(p)
		t.Mark = w.proofMark(i, step)
	case Finished:
		t.Title, t.Mark = "Closed: "+step.Outcome, '+'
	default:
		return t, false
	}
	return t, true
}

// proofMark is + when the answer was the wanted one of the proof that was due.
func (w Walk) proofMark(i int, step Step) rune {
	before := w
	before.steps = w.steps[:i]
	if pr := before.situate().proof; pr != nil {
		if due, ok := pr.next(); ok && due.Probe == step.Probe && due.Want == step.Answer {
			return '+'
		}
	}
	return '!'
}

func (w Walk) titleOf(step Step) string {
	if p := w.env.base.Probes[step.Probe]; p != nil {
		return p.Ask
	}
	if c := w.env.base.Causes[step.Cause]; c != nil {
		return c.Remedy
	}
	return string(step.Act)
}

func passWord(s Step) string {
	word := map[Act]string{Skipped: "skipped", CannotTell: "cannot tell", NotSafe: "not safe today"}[s.Act]
	if s.Reason != "" {
		word += " (" + s.Reason + ")"
	}
	return word
}

// said is the answer with its reading, where there was one.
func (s Step) said(p *knowledge.Probe) string {
	if s.Value == nil {
		return s.Answer
	}
	return fmt.Sprintf("%s, %s", Engineering(*s.Value, p.Unit), s.Answer)
}

func fromWord(p *knowledge.Probe) string {
	if p.Kind == "watch" {
		return "from the feed"
	}
	return p.Kind
}
