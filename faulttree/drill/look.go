package drill

import (
	"context"
	"errors"
	"fmt"
	"math"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
)

// overRange is the resistance beyond which a hand meter shows no figure.
const overRange = 1e7 // ohm

// look takes the truth about the offered probe down, once: what is found before anything is done counts.
func (s *Session) look(o *faulttree.Offer) *Truth {
	s.mu.Lock()
	t := s.watch.truth
	s.mu.Unlock()
	if t != nil {
		return t
	}
	t = &Truth{}
	word, value, ok := s.inst.Answer(o.Probe.ID, o.Probe.Answers)
	t.Word, t.None = word, !ok
	if ok && !math.IsNaN(value) && o.Probe.Unit != "" {
		t.Value = &value
	}
	s.mu.Lock()
	s.watch.truth = t
	s.mu.Unlock()
	return t
}

// Look carries the offered probe out and says what is there to see; its minutes pass.
func (s *Session) Look(ctx context.Context) (string, error) {
	s.order.Lock()
	defer s.order.Unlock()
	w := s.newest().Walk
	switch {
	case w == nil || w.Offer.Probe == nil:
		return "", errors.New("there is nothing to look at or to measure just now")
	case !w.AckedCautions:
		return "", errors.New("read the cautions of this step and acknowledge them first")
	case w.Offer.Probe.Kind == "watch":
		return "The feed tells this one: wait for it.", nil
	}
	t := s.look(&w.Offer)
	if err := s.pay(ctx, &w.Offer); err != nil {
		return "", err
	}
	return t.words(&w.Offer), nil
}

// words say a truth as the trade does.
func (t *Truth) words(o *faulttree.Offer) string {
	p := o.Probe
	switch {
	case t.None:
		return "It cannot be told here: skip it as one that you cannot tell."
	case t.Value != nil && p.Unit == "ohm" && *t.Value >= overRange:
		return "The meter shows over range (more than 10 Mohm)."
	case t.Value != nil:
		return fmt.Sprintf("The meter shows %s.", faulttree.Engineering(*t.Value, p.Unit))
	case p.Kind == "measured":
		return fmt.Sprintf("You measure: %s.", t.Word)
	case p.Kind == "prompted":
		return fmt.Sprintf("What happens: %s.", t.Word)
	}
	return fmt.Sprintf("What you find: %s.", t.Word)
}

// Status is the drill in a few words, for the edge of a screen.
func (s *Session) Status() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	what := "drill"
	if s.opt.Exam {
		what = "exam"
	}
	text := fmt.Sprintf("%s, level %d, %.0f min", what, s.opt.Lesson.Difficulty, s.log.Minutes+s.log.Waited)
	if s.log.Minutes == 0 && len(s.log.Hints) == 0 { // before anything was done, the customer's words stand there
		return fmt.Sprintf("the customer says (w: all): %s", s.opt.Lesson.Story)
	}
	switch n := len(s.log.Hints); {
	case n == 1:
		text += ", 1 hint"
	case n > 1:
		text += fmt.Sprintf(", %d hints", n)
	}
	return text
}

// NoHints tells an exam.
func (s *Session) NoHints() bool { return s.opt.Exam }

// SwitchIn tells the drill of a cause that was switched in while it runs: it must be found, too.
func (s *Session) SwitchIn(cause string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.log.Late = append(s.log.Late, cause)
}

var _ Running = (*Session)(nil)
var _ Running = (*visit.Session)(nil)
