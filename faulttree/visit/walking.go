package visit

import (
	"errors"
	"fmt"
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/livelevel"
)

// walking is a walk under the technician's hands: the offered step stays where it is until it is
// dealt with, whatever new evidence says.
type walking struct {
	walk  faulttree.Walk
	offer faulttree.Offer
	// offered is what the offer is of, so that the same offer is not recorded twice.
	offered string
	better  string
	acked   bool
	chosen  bool // the offered step is of the technician's choice, and nothing was done of it
	words   string
	trial   diagnostics.Trial
	probe   string // that the trial watches
	since   time.Time
	// frozen: a prompted probe or a remedy is under way; what the feed shows now is no evidence.
	frozen bool
	// taken are the ids of the technician's events that can be taken back, newest last.
	taken   []string
	outcome string
}

// startWalk begins a walk from a complaint.
func startWalk(cfg *Config, complaint, words string) (*walking, error) {
	w, err := faulttree.Start(cfg.Base, complaint, cfg.walkOptions(complaint))
	if err != nil {
		return nil, err
	}
	return &walking{walk: w, words: words}, nil
}

// resumeWalk takes a recorded walk up again, with the priors that it was begun with.
func resumeWalk(cfg *Config, v *Visit) (*walking, error) {
	o := cfg.Walk
	o.Sheet, o.Priors = cfg.Sheet, v.Complaint.Priors
	w, err := faulttree.Start(cfg.Base, v.Complaint.ID, o)
	if err != nil {
		return nil, err
	}
	out := &walking{walk: w, words: v.Complaint.Words}
	for _, s := range v.Standing() {
		next, err := out.walk.Apply(s.Step)
		if err != nil {
			return nil, err
		}
		out.walk = next
		if byTechnician(s.Step.Act) {
			out.taken = append(out.taken, s.Event)
		}
	}
	return out, nil
}

func byTechnician(a faulttree.Act) bool { return a != faulttree.Evidence }

// evidence returns the step that enters the findings' grades, and whether they say anything new.
// A probe waits for its window, but no longer than a minute: checks that need more say so themselves.
func (w *walking) evidence(found []diagnostics.Finding, heard time.Duration) (faulttree.Step, bool) {
	if w.frozen || w.outcome != "" {
		return faulttree.Step{}, false
	}
	step, known := w.walk.EvidenceOf(found), w.walk.Fed()
	for probe, word := range step.Grades {
		if known[probe] == word || heard < min(w.walk.Window(probe), time.Minute) {
			delete(step.Grades, probe)
			delete(step.Notes, probe)
		}
	}
	return step, len(step.Grades) > 0
}

func (w *walking) enter(s faulttree.Step) {
	if next, err := w.walk.Apply(s); err == nil {
		w.walk = next
	}
}

// watch lets a running trial see the feed.
func (w *walking) watch(l *livelevel.Level) {
	if w.trial != nil {
		w.trial.Add(l)
	}
}

// dropOffer lets the next pin choose anew.
func (w *walking) dropOffer() {
	w.offered, w.better, w.acked, w.chosen = "", "", false, false
	w.trial, w.probe = nil, ""
}

func (w *walking) beginTrial(sheetOf *Config, before []diagnostics.Finding, now time.Time) error {
	switch {
	case w.offer.Remedy != nil:
	case w.offer.Probe != nil && w.offer.Probe.Kind == "prompted":
		w.probe, w.since = w.offer.Probe.ID, now
		if t, ok := diagnostics.NewTrial(w.offer.Probe.Trial, w.offer.Probe.Answers, before, sheetOf.Sheet, now); ok {
			w.trial = t
		}
	default:
		return errors.New("the offered step has nothing to begin: answer it, or skip it")
	}
	w.frozen = true
	return nil
}

// view is the walk as a screen sees it.
func (w *walking) view(now time.Time) *WalkView {
	v := &WalkView{
		Complaint: w.walk.Complaint.ID, Title: w.walk.Complaint.Title, Path: w.walk.Path(), Suspects: w.walk.Suspects(),
		Offer: w.offer, Better: w.better, AckedCautions: w.acked || len(w.offer.Cautions) == 0,
		Questions: w.walk.Questions(), Untold: w.walk.Untold(), Classify: w.walk.Classify, Explain: w.walk.Explain, Proven: w.proven(), Done: w.offer.Done, Outcome: w.outcome,
	}
	if odd, ok := w.walk.Odd(); ok && !w.offer.Done && !w.offer.Proof {
		v.Odd = &odd
	}
	for _, s := range w.walk.Steps() {
		v.Minutes += s.Minutes
	}
	if w.probe != "" {
		v.Trial = w.trialView(now)
	}
	return v
}

// trialSaid is what the feed showed beside an answer: its evidence, or that it was overruled.
func (w *walking) trialSaid(word string, now time.Time) string {
	if w.trial == nil {
		return ""
	}
	switch s := w.trial.State(now); s.Answer {
	case "":
		return "the feed could not tell: " + s.Why
	case word:
		return "the feed shows it: " + s.Why
	default:
		return fmt.Sprintf("overrules the feed, which showed %q: %s", s.Answer, s.Why)
	}
}

func (w *walking) trialView(now time.Time) *TrialView {
	t := &TrialView{Probe: w.probe, Since: w.since}
	if w.trial == nil {
		t.Blind, t.Why = true, "the feed cannot show the answer of this step: say what you see"
		return t
	}
	s := w.trial.State(now)
	t.Remaining, t.Figure, t.Answer, t.Why, t.Done = s.Remaining, s.Figure, s.Answer, s.Why, s.Done
	return t
}
