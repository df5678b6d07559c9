package drill

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/site"
)

// Step is one thing that the trainee did, beside what the engine would have done there and why.
type Step struct {
	N       int
	Act     faulttree.Act
	Probe   string
	Did     string // the question, or the remedy
	Answer  string // with its reading, where there was one
	Truth   string // what the installation showed, where that was something else
	Minutes float64
	Engine  string // what the engine would have done
	Why     string
	Same    bool // the trainee did that
	Moved   []Shift
	Undone  bool
}

// Shift is what a step did to one suspect.
type Shift struct {
	Cause, Title string
	From, To     float64
}

// The shifts worth telling.
const (
	leastShift = 0.02
	mostShifts = 3
)

// replayer folds the record anew, asking the engine at every step.
type replayer struct {
	base   *knowledge.Base
	sheet  *site.Sheet
	walk   faulttree.Walk
	truths map[string][]Truth
	steps  []Step
	offer  faulttree.Offer // what was offered to the trainee, where it was the engine's own choice
	place  map[string]int  // of an event among the steps
}

// replay tells each step of the trainee beside what the engine would have done.
func replay(events []visit.Event, log Log, base *knowledge.Base) ([]Step, error) {
	r := replayer{base: base, truths: log.clone().Truths, place: map[string]int{}}
	for _, e := range events {
		body, err := visit.Decode(e)
		if err != nil {
			return nil, fmt.Errorf("making the debrief: %w", err)
		}
		if err := r.add(e, body); err != nil {
			return nil, fmt.Errorf("making the debrief: %w", err)
		}
	}
	return r.steps, nil
}

func (r *replayer) add(e visit.Event, body visit.Body) (err error) {
	switch b := body.(type) {
	case visit.OpenedBody:
		r.sheet, err = site.Parse(cmp.Or(b.SheetName, "site sheet"), []byte(b.Sheet))
	case visit.ComplaintBody:
		r.walk, err = faulttree.Start(r.base, b.ID, faulttree.Options{Sheet: r.sheet, Priors: b.Priors})
	case visit.ShownBody:
		r.shown(b)
	case visit.StepBody:
		err = r.step(e.ID, b)
	case visit.UndoBody:
		if i, ok := r.place[b.Event]; ok {
			r.steps[i].Undone = true
		}
		r.walk, _ = r.walk.Undo()
	}
	return err
}

// shown takes note of an offered step that was the engine's choice: it stays the right one to follow,
// though later evidence of the feed may have made another better.
func (r *replayer) shown(b visit.ShownBody) {
	r.offer = faulttree.Offer{}
	if o := r.walk.Next(); o.Probe != nil && o.Probe.ID == b.Probe || o.Remedy != nil && o.Remedy.ID == b.Remedy {
		r.offer = o
	}
}

// engine is the engine's choice beside a step: the one that was offered where it was followed, else
// the one of that moment.
func (r *replayer) engine(b visit.StepBody) faulttree.Offer {
	o := r.offer
	if o.Probe != nil && o.Probe.ID == b.Probe || o.Remedy != nil && b.Probe == "" && o.Remedy.ID == b.Cause {
		return o
	}
	return r.walk.Next()
}

func (r *replayer) step(id string, b visit.StepBody) error {
	next, err := r.walk.Apply(b.Step)
	if err != nil {
		return err
	}
	if b.Act != faulttree.Evidence {
		s := r.told(b)
		s.N = len(r.steps) + 1
		s.Moved = shifts(r.walk.Suspects(), next.Suspects())
		r.place[id] = len(r.steps)
		r.steps = append(r.steps, s)
	}
	r.walk = next
	return nil
}

// told is a step in words, with the engine's own choice at that place.
func (r *replayer) told(b visit.StepBody) Step {
	o := r.engine(b)
	s := Step{Act: b.Act, Probe: b.Probe, Did: b.Title, Answer: b.Answer, Minutes: b.Minutes, Engine: o.Title, Why: o.Why}
	switch b.Act {
	case faulttree.Answered, faulttree.ProofRun:
		s.Same = o.Probe != nil && o.Probe.ID == b.Probe
		s.answered(r, b)
	case faulttree.Remedied:
		s.Same = o.Remedy != nil && o.Remedy.ID == b.Cause
		s.Answer = "done"
	default:
		s.Answer = string(b.Act)
		if s.Did == "" {
			s.Did = b.CauseTitle
		}
		s.Same = b.Act == faulttree.FollowedUp
	}
	return s
}

// answered puts the truth beside an answer, where the two differ.
func (s *Step) answered(r *replayer, b visit.StepBody) {
	if b.Value != nil {
		s.Answer = fmt.Sprintf("%s, %s", faulttree.Engineering(*b.Value, b.Unit), b.Answer)
	}
	list := r.truths[b.Probe]
	if p := r.base.Probes[b.Probe]; len(list) == 0 || p == nil || p.Kind == "watch" {
		return
	}
	t := list[0]
	r.truths[b.Probe] = list[1:]
	if t.None || t.Word == b.Answer {
		return
	}
	s.Truth = t.Word
	if t.Value != nil {
		s.Truth = fmt.Sprintf("%s, %s", faulttree.Engineering(*t.Value, b.Unit), t.Word)
	}
}

// shifts are the suspects that a step moved most.
func shifts(before, after []faulttree.Suspect) (out []Shift) {
	was := map[string]float64{}
	for _, s := range before {
		was[s.Cause] = s.Probability
	}
	for _, s := range after {
		if from, ok := was[s.Cause]; ok && math.Abs(s.Probability-from) >= leastShift {
			out = append(out, Shift{s.Cause, s.Title, from, s.Probability})
		}
	}
	slices.SortStableFunc(out, func(a, b Shift) int { return cmp.Compare(math.Abs(b.To-b.From), math.Abs(a.To-a.From)) })
	return out[:min(len(out), mostShifts)]
}
