package faulttree

import (
	"fmt"
	"slices"

	"example.org/tankhand/faulttree/knowledge"
)

// situation is where the steps have led. It is folded anew from them each time, so that undo, a
// change of mind and any order of events come free.
type situation struct {
	state
	m      *model
	from   []int // per probe: the step that gave its counting answer, -1
	stale  map[taken]bool
	cured  []bool
	proof  *proving
	repair string // the remedy that was proven or is not yet disproven, last
	done   bool
	proven bool
	over   bool // finished
	told   bool // some evidence of the feed came
}

// taken names one answer of one step.
type taken struct {
	step  int
	probe string
}

// proving is a remedy whose proofs are not through.
type proving struct {
	cause    string
	own      knowledge.Proof
	whole    knowledge.Proof // the complaint's
	ownSaid  verdict
	wholeSay verdict
}

type verdict uint8

const (
	unsaid verdict = iota
	passed
	missed
	waived // skipped: not proven, not disproven
)

// next is the proof to run now; ok is false when all is said.
func (p *proving) next() (knowledge.Proof, bool) {
	switch {
	case p.ownSaid == unsaid:
		return p.own, true
	case p.ownSaid == missed:
		return knowledge.Proof{}, false
	case p.wholeSay == unsaid && p.whole.Probe != "":
		return p.whole, true
	}
	return knowledge.Proof{}, false
}

// situate folds the steps.
func (w Walk) situate() *situation { return w.situateFor(false) }

// situateFor folds the steps; on paper the watch probes are asked like all others.
func (w Walk) situateFor(paper bool) *situation {
	m := w.env.m
	s := &situation{state: m.start(), m: m, from: make([]int, len(m.probes)), stale: map[taken]bool{}, cured: make([]bool, len(m.causes))}
	for i := range s.from {
		s.from[i] = -1
	}
	s.bar(w, paper)
	failures := map[int]bool{}
	for i, step := range w.steps {
		s.fold(w, i, step, failures)
	}
	s.bar(w, paper) // a cure opens what spoke of it; the feed's own probes come again by themselves
	s.reckon(failures)
	return s
}

// bar closes the open probes that are not to be asked here.
func (s *situation) bar(w Walk, paper bool) {
	for i, p := range s.m.probes {
		if why := w.env.barred[p.id]; why != "" && s.answer[i] == open && !(paper && why == notTold) {
			s.answer[i] = closed
		}
	}
}

func (s *situation) fold(w Walk, i int, step Step, failures map[int]bool) {
	switch step.Act {
	case Evidence:
		s.told = true
		for probe, word := range step.Grades {
			s.set(i, probe, word)
		}
	case Answered:
		s.set(i, step.Probe, step.Answer)
	case Skipped, CannotTell, NotSafe:
		s.pass(step, failures)
	case BringBack:
		s.bringBack(step)
	case Remedied:
		c := w.env.base.Causes[step.Cause]
		s.proof = &proving{cause: step.Cause, own: c.Proof, whole: w.Complaint.Proof}
		s.repair, s.done = step.Cause, false
	case PutBack:
		s.putBack(step.Cause, failures)
	case ProofRun:
		s.prove(i, step, failures)
	case Finished:
		s.over = true
	}
}

// set makes an answer the counting one of its probe.
func (s *situation) set(i int, probe, word string) {
	p, ok := s.m.index[probe]
	if !ok {
		return
	}
	k := slices.Index(s.m.probes[p].words, word)
	if k < 0 {
		return
	}
	s.answer[p], s.from[p] = int8(k), i
}

func (s *situation) pass(step Step, failures map[int]bool) {
	if s.proof != nil && step.Probe != "" {
		s.proveBy(step.Probe, waived, failures)
		return
	}
	if p, ok := s.m.index[step.Probe]; ok && s.answer[p] == open {
		s.answer[p] = closed
	}
	if c, ok := s.m.place[step.Cause]; ok && c < len(s.tried) {
		s.tried[c] = true
	}
}

func (s *situation) bringBack(step Step) {
	if p, ok := s.m.index[step.Probe]; ok && s.answer[p] == closed {
		s.answer[p] = open
	}
	if c, ok := s.m.place[step.Cause]; ok && c < len(s.tried) {
		s.tried[c] = false
	}
}

func (s *situation) putBack(cause string, failures map[int]bool) {
	if c, ok := s.m.place[cause]; ok && c < len(s.tried) {
		delete(failures, c)
		s.tried[c], s.cured[c] = false, false
	}
	if s.proof != nil && s.proof.cause == cause {
		s.proof = nil
	}
	if s.repair == cause {
		s.repair, s.done, s.proven = "", false, false
	}
}

// prove takes the answer of a proof.
func (s *situation) prove(i int, step Step, failures map[int]bool) {
	if s.proof == nil {
		return
	}
	want := s.proof.own
	if s.proof.ownSaid != unsaid {
		want = s.proof.whole
	}
	v := missed
	if step.Answer == want.Want {
		v = passed
	}
	s.proveBy(step.Probe, v, failures)
}

// proveBy enters a verdict of the proof that is due, and closes the proving when all is said.
func (s *situation) proveBy(probe string, v verdict, failures map[int]bool) {
	pr := s.proof
	if due, ok := pr.next(); !ok || due.Probe != probe {
		return
	}
	if pr.ownSaid == unsaid {
		pr.ownSaid = v
		if pr.own == pr.whole {
			pr.wholeSay = v
		}
	} else {
		pr.wholeSay = v
	}
	if _, more := pr.next(); more {
		return
	}
	s.conclude(failures)
}

// conclude says what a remedy came to once its proofs are through.
func (s *situation) conclude(failures map[int]bool) {
	pr := s.proof
	s.proof = nil
	c, listed := s.m.place[pr.cause]
	switch {
	case pr.ownSaid == missed || pr.ownSaid == waived && pr.wholeSay == missed:
		s.repair = ""
		if listed {
			failures[c] = true
		}
	case pr.wholeSay == missed: // this is mended and something else is wrong too
		s.cure(c, listed)
	default:
		s.done = true
		s.proven = pr.ownSaid == passed && pr.wholeSay == passed
	}
}

// cure takes a cause out and drops the answers of the probes that speak of it: they told of a state
// that is no more. Those of the feed come again by themselves.
func (s *situation) cure(c int, listed bool) {
	if !listed {
		return
	}
	s.cured[c], s.tried[c] = true, true
	for p := range s.m.probes {
		if s.answer[p] >= 0 && s.m.probes[p].names[c] {
			s.stale[taken{s.from[p], s.m.probes[p].id}] = true
			s.answer[p], s.from[p] = open, -1
		}
	}
}

// reckon computes the belief from prior, counting answers, failed remedies and cures.
func (s *situation) reckon(failures map[int]bool) {
	for p, k := range s.answer {
		if k >= 0 {
			s.paid |= s.m.probes[p].needs
			for c, l := range s.m.probes[p].like[k] {
				s.weight[c] *= l
			}
		}
	}
	for c := range failures {
		s.weight[c] *= 1 - s.m.works[c]
		s.tried[c] = true
	}
	for c, cured := range s.cured {
		if cured {
			s.weight[c] = 0
		}
	}
	normalise(s.weight)
}

// check tells whether a step can be taken at all.
func (w Walk) check(step Step) error {
	switch step.Act {
	case Evidence:
		for probe, word := range step.Grades {
			if err := w.checkAnswer(probe, word); err != nil {
				return err
			}
		}
	case Answered, ProofRun:
		return w.checkAnswer(step.Probe, step.Answer)
	case Skipped, CannotTell, NotSafe, BringBack:
		if step.Cause == "" && w.env.base.Probes[step.Probe] == nil {
			return fmt.Errorf("faulttree: %s: no probe %q (see `tankhand tree %s`)", step.Act, step.Probe, w.Complaint.ID)
		}
	case Remedied, PutBack:
		if w.env.base.Causes[step.Cause] == nil {
			return fmt.Errorf("faulttree: %s: no cause %q (see `tankhand tree %s`)", step.Act, step.Cause, w.Complaint.ID)
		}
	case Finished, FollowedUp:
	default:
		return fmt.Errorf("faulttree: unknown act %q", step.Act)
	}
	return nil
}

func (w Walk) checkAnswer(probe, word string) error {
	p := w.env.base.Probes[probe]
	if p == nil {
		return fmt.Errorf("faulttree: answering %q under %s: there is no such probe", probe, w.Complaint.ID)
	}
	if !slices.Contains(p.Answers, word) {
		return fmt.Errorf("faulttree: answering %s: %q is none of its answers %q", probe, word, p.Answers)
	}
	return nil
}
