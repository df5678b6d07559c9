package drill

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
)

// The minutes that hints cost: the next thing to ask, two causes of which one is it, the cause. A hint
// must cost more than the probe that it saves; engineering judgement.
var hintMinutes = [...]float64{4, 8, 15}

// Hint gives the next hint, on the record, and lets its minutes pass.
func (s *Session) Hint(ctx context.Context) (string, error) {
	s.order.Lock()
	defer s.order.Unlock()
	if s.opt.Exam {
		return "", errors.New("an exam gives no hints")
	}
	w := s.newest().Walk
	if w == nil || w.Outcome != "" {
		return "", errors.New("a hint belongs to a running walk: choose what the customer says first")
	}
	h := s.hint(w)
	s.mu.Lock()
	s.log.Hints = append(s.log.Hints, h)
	s.log.Minutes += h.Minutes
	s.mu.Unlock()
	if err := s.in.Do(ctx, visit.AddNote{Text: fmt.Sprintf("Hint, %.0f min: %s", h.Minutes, h.Text)}); err != nil {
		return "", err
	}
	return h.Text, s.pass(ctx, minutes(h.Minutes))
}

// hint works the next hint out: each says more than the one before.
func (s *Session) hint(w *visit.WalkView) Hint {
	s.mu.Lock()
	given, late := len(s.log.Hints), slices.Clone(s.log.Late)
	mended := slices.Clone(s.log.Mended)
	s.mu.Unlock()
	left := missing(append(s.opt.Lesson.Must(), late...), mended)
	switch {
	case len(left) == 0 && len(mended) > 0:
		return Hint{"All that was wrong has been mended. Prove it and hand over.", hintMinutes[0]}
	case len(left) == 0 && given == 0:
		return Hint{"Before you doubt a part, look at what the checks say of the whole feed.", hintMinutes[0]}
	case len(left) == 0:
		return Hint{"There is no fault. Say so when you hand over.", hintMinutes[2]}
	case given == 0 && s.nextOnPath(w) != "":
		return Hint{"Ask this: " + s.nextOnPath(w), hintMinutes[0]}
	case given <= 1 && s.rival(w, left[0]) != "":
		pair := []string{s.title(left[0]), s.title(s.rival(w, left[0]))}
		slices.Sort(pair)
		return Hint{fmt.Sprintf("It is one of these two: %s; or %s.", pair[0], pair[1]), hintMinutes[1]}
	}
	return Hint{fmt.Sprintf("It is this: %s.", s.title(left[0])), hintMinutes[2]}
}

// nextOnPath is the first probe of the lesson's good way that was not answered.
func (s *Session) nextOnPath(w *visit.WalkView) string {
	for _, id := range s.opt.Lesson.Path {
		p := s.opt.Base.Probes[id]
		asked := slices.ContainsFunc(w.Path, func(t faulttree.Taken) bool { return t.Step.Probe == id && t.Step.Act == faulttree.Answered })
		if p != nil && !asked {
			first, _, _ := strings.Cut(p.Ask, ". ") // what to do; the step itself says how
			return strings.TrimSuffix(first, ".") + "."
		}
	}
	return ""
}

// rival is the likeliest suspect that it is not.
func (s *Session) rival(w *visit.WalkView, cause string) string {
	for _, u := range w.Suspects {
		if u.Cause != cause && u.Cause != faulttree.Unlisted && !u.Cured && !slices.Contains(s.opt.Lesson.Causes, u.Cause) {
			return u.Cause
		}
	}
	return ""
}

func (s *Session) title(cause string) string {
	if c := s.opt.Base.Causes[cause]; c != nil {
		return c.Title
	}
	return cause
}

// missing are those of want that are not among have.
func missing(want, have []string) (out []string) {
	for _, w := range want {
		if !slices.Contains(have, w) && !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}
