package visit

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/livelevel"
)

var errNoWalk = errors.New("no complaint is chosen yet: choose what the customer says first")

// do carries out one command: events first, state afterwards.
func (r *running) do(ctx context.Context, c Command) error {
	switch c := c.(type) {
	case SetComplaint:
		return r.setComplaint(ctx, c)
	case AddNote:
		return r.record(ctx, NoteBody{Text: c.Text})
	case UseDialect:
		return r.useDialect(c)
	case CloseVisit:
		return r.closeVisit(ctx, c)
	}
	if r.walk == nil {
		return errNoWalk
	}
	switch c := c.(type) {
	case Acknowledge:
		return r.acknowledge(ctx)
	case AnswerProbe:
		return r.answer(ctx, c)
	case SkipStep:
		return r.skip(ctx, c)
	case BringBackProbe:
		return r.step(ctx, faulttree.Step{Act: faulttree.BringBack, Probe: c.Probe})
	case AskProbe:
		return r.ask(ctx, c.Probe)
	case BeginTrial:
		return r.beginTrial()
	case EndTrial:
		r.endTrial()
		return nil
	case TryRemedy:
		return r.remedy(ctx, c.Cause)
	case UndoLast:
		return r.undo(ctx)
	case TakeBetter:
		return r.better(ctx)
	}
	return fmt.Errorf("the visit does not know the command %T", c)
}

// useDialect reads the feed otherwise from here on. What the gauge and the windows hold was read the old
// way: a level in other units would pass for a jump and be held back.
func (r *running) useDialect(c UseDialect) error {
	if err := r.cfg.Feed.SetDialect(c.Dialect); err != nil {
		return err
	}
	r.gauge, r.trend = livelevel.NewGauge(r.cfg.Sheet), livelevel.NewWindow(trendSpan, trendPoints)
	r.level = livelevel.Level{}
	r.checks.thaw()
	r.thawed = r.now
	return nil
}

func (r *running) setComplaint(ctx context.Context, c SetComplaint) error {
	w, err := startWalk(&r.cfg, c.ID, c.Words)
	if err != nil {
		return err
	}
	body := ComplaintBody{ID: c.ID, Title: w.walk.Complaint.Title, Words: c.Words, Knowledge: r.cfg.Base.Hash,
		Priors: priorsOf(&w.walk)}
	if err := r.record(ctx, body); err != nil {
		return err
	}
	r.walk = w
	r.judge(ctx)
	r.pin(ctx)
	return nil
}

// priorsOf are the chances the walk begins with: the record carries them, so that an old visit
// folds to what it was whatever is learned later.
func priorsOf(w *faulttree.Walk) map[string]float64 {
	out := map[string]float64{}
	for _, s := range w.Suspects() {
		out[s.Cause] = s.Prior
	}
	return out
}

// pin offers a step when none is under the technician's hands, else only says that a better one
// exists.
func (r *running) pin(ctx context.Context) {
	w := r.walk
	if w.outcome != "" {
		return
	}
	next := w.walk.Next()
	word := next.Key()
	switch {
	case w.offered == word:
		w.offer, w.better = next, next.Further // the same step, its numbers brought up to date
		return
	case w.offered != "":
		w.better = next.Title
		return
	}
	if r.record(ctx, shownBody(&next)) != nil {
		return
	}
	w.offer, w.offered, w.better, w.acked = next, word, next.Further, false
}

// better takes the step that is better by now; beyond a cure that is the question what did the damage.
func (r *running) better(ctx context.Context) error {
	if o := &r.walk.offer; o.Done && o.Further != "" {
		return r.step(ctx, faulttree.Step{Act: faulttree.FollowedUp, Cause: o.Cured})
	}
	r.walk.dropOffer()
	r.pin(ctx)
	return nil
}

func shownBody(o *faulttree.Offer) ShownBody {
	b := ShownBody{Proof: o.Proof, HandOn: o.HandOn, Title: o.Title, Why: o.Why, Minutes: o.Minutes}
	if o.Probe != nil {
		b.Probe = o.Probe.ID
	}
	if o.Remedy != nil {
		b.Remedy = o.Remedy.ID
	}
	return b
}

func (r *running) acknowledge(ctx context.Context) error {
	body := CautionBody{Step: r.walk.offer.Key()}
	for _, c := range r.walk.offer.Cautions {
		body.Cautions = append(body.Cautions, CautionRecord{c.Hazard, c.Text})
	}
	if len(body.Cautions) == 0 {
		return nil
	}
	if err := r.record(ctx, body); err != nil {
		return err
	}
	r.walk.acked = true
	return nil
}

// cautioned refuses a step whose cautions nobody has acknowledged.
func (w *walking) cautioned() error {
	if len(w.offer.Cautions) > 0 && !w.acked {
		return errors.New("read the cautions of this step and acknowledge them first")
	}
	return nil
}

func (r *running) answer(ctx context.Context, c AnswerProbe) error {
	w := r.walk
	p := w.offer.Probe
	if p == nil || p.ID != c.Probe {
		return fmt.Errorf("answering %s: it is not the offered step (%s)", c.Probe, w.offer.Key())
	}
	if err := w.cautioned(); err != nil {
		return err
	}
	word := c.Answer
	if word == "" && c.Value != nil {
		var ok bool
		if word, ok = w.walk.Classify(p.ID, *c.Value); !ok {
			return fmt.Errorf("answering %s: the site sheet lacks a fact that its limits need; pick the answer by its word", p.ID)
		}
	}
	if !slices.Contains(p.Answers, word) {
		return fmt.Errorf("answering %s with %q: the answers are %q", p.ID, word, p.Answers)
	}
	s := faulttree.Step{Act: faulttree.Answered, Probe: p.ID, Answer: word, Value: c.Value, Minutes: w.offer.Minutes, Why: w.offer.Why}
	if w.offer.Proof {
		s.Act, s.Cause = faulttree.ProofRun, w.offer.Cured
	}
	s.Reason = w.trialSaid(word, r.now)
	return r.step(ctx, s)
}

func (r *running) skip(ctx context.Context, c SkipStep) error {
	o := &r.walk.offer
	s := faulttree.Step{Act: c.How, Reason: c.Reason, Why: o.Why}
	switch {
	case o.Probe != nil:
		s.Probe = o.Probe.ID
	case o.Remedy != nil:
		s.Cause = o.Remedy.ID
	default:
		return errors.New("there is no step to skip")
	}
	if c.How == faulttree.CannotTell {
		s.Minutes = o.Minutes
	}
	return r.step(ctx, s)
}

func (r *running) beginTrial() error {
	if err := r.walk.cautioned(); err != nil {
		return err
	}
	if err := r.walk.beginTrial(&r.cfg, r.found, r.now); err != nil {
		return err
	}
	r.checks.freeze(r.now)
	r.deed = r.cfg.Hands(r.walk.probe)
	return nil
}

// endTrial lets the windows of the checks start anew: what was done to the installation meanwhile
// is no evidence.
func (r *running) endTrial() {
	if r.walk.frozen {
		r.checks.thaw()
		r.thawed = r.done()
	}
	r.walk.frozen, r.walk.trial, r.walk.probe = false, nil, ""
}

// done is from when on the feed tells of what was done last.
func (r *running) done() time.Time {
	if r.deed.After(r.now) {
		return r.deed
	}
	return r.now
}

// remedy records that the offered remedy was done; what the feed shows from here on is the mended
// board. A remedy that was not offered is offered now, with its cautions: done is said afterwards.
func (r *running) remedy(ctx context.Context, cause string) error {
	o := &r.walk.offer
	if o.Remedy == nil || cause != "" && cause != o.Remedy.ID {
		return r.offerRemedy(ctx, cause)
	}
	if err := r.walk.cautioned(); err != nil {
		return err
	}
	if !r.foundAt { // found is what was there before anything was mended
		r.found = r.checks.findings(r.now)
		r.recordFindings(ctx, AsFound)
	}
	r.walk.frozen = true
	r.deed = r.cfg.Hands(o.Remedy.ID)
	if err := r.step(ctx, faulttree.Step{Act: faulttree.Remedied, Cause: o.Remedy.ID, Why: o.Why, Minutes: o.Remedy.Minutes}); err != nil {
		return err
	}
	r.mended = mending{r.done(), r.live.starts}
	return nil
}

// offerRemedy is "what if I swap it now": the remedy of any cause, though the walk would not offer it.
func (r *running) offerRemedy(ctx context.Context, cause string) error {
	o := r.walk.walk.WhatIf(cause)
	if o.Remedy == nil {
		return fmt.Errorf("trying a remedy: no such cause %q", cause)
	}
	return r.offer(ctx, o)
}

// ask offers a probe of the technician's choice.
func (r *running) ask(ctx context.Context, probe string) error {
	o, err := r.walk.walk.Ask(probe)
	if err != nil {
		return err
	}
	return r.offer(ctx, o)
}

// offer puts a step of the technician's choice under their hands.
func (r *running) offer(ctx context.Context, o faulttree.Offer) error {
	if err := r.record(ctx, shownBody(&o)); err != nil {
		return err
	}
	r.endTrial()
	r.walk.dropOffer()
	r.walk.offer, r.walk.offered, r.walk.chosen = o, o.Key(), true
	return nil
}

// step records a step of the technician, enters it and offers the next.
func (r *running) step(ctx context.Context, s faulttree.Step) error {
	next, err := r.walk.walk.Apply(s)
	if err != nil {
		return err
	}
	id, err := r.recordStep(ctx, s)
	if err != nil {
		return err
	}
	r.walk.walk = next
	r.walk.taken = append(r.walk.taken, id)
	r.endTrial()
	r.walk.dropOffer()
	r.pin(ctx)
	return nil
}

func (r *running) recordStep(ctx context.Context, s faulttree.Step) (id string, err error) {
	body := StepBody{Step: s}
	if p := r.cfg.Base.Probes[s.Probe]; p != nil {
		body.Title, body.From, body.Unit = p.Ask, fromWords[p.Kind], p.Unit
		if r.walk.offer.Probe == p {
			body.Limit = r.walk.offer.Good
		}
	}
	if c := r.cfg.Base.Causes[s.Cause]; c != nil {
		body.CauseTitle = c.Title
		if s.Act == faulttree.FollowedUp {
			body.Title = "What killed it?"
		}
		if s.Act == faulttree.Remedied {
			body.Title, body.Parts = c.Remedy, c.Parts
		}
		body.Proven = s.Act == faulttree.ProofRun && s.Answer == r.walk.offer.Want
	}
	if err := r.record(ctx, body); err != nil {
		return "", err
	}
	return r.last, nil
}

var fromWords = map[string]string{"watch": "from the feed", "measured": "measured", "looked": "looked", "prompted": "prompted"}

// undo takes back the technician's last step, on the record.
func (r *running) undo(ctx context.Context) error {
	w := r.walk
	if w.chosen { // a step that was only looked at is left first
		r.endTrial()
		return r.better(ctx)
	}
	next, ok := w.walk.Undo()
	if !ok || len(w.taken) == 0 {
		return errors.New("there is nothing to take back")
	}
	if err := r.record(ctx, UndoBody{Event: w.taken[len(w.taken)-1]}); err != nil {
		return err
	}
	w.walk, w.taken = next, w.taken[:len(w.taken)-1]
	r.endTrial()
	w.dropOffer()
	r.pin(ctx)
	return nil
}

// closeVisit keeps the state as left and the outcome.
func (r *running) closeVisit(ctx context.Context, c CloseVisit) error {
	if c.Outcome == MendedProven {
		if r.walk == nil || !r.walk.proven() {
			return fmt.Errorf("closing as %q: no proof shows it; close as %q, or go on with the proofs", MendedProven, MendedOnly)
		}
		if err := r.lasted(); err != nil {
			return err
		}
	}
	r.found = r.checks.findings(r.now)
	r.recordFindings(ctx, AsLeft)
	body := OutcomeBody{Outcome: c.Outcome, Believed: c.CuredBy, FollowUp: c.FollowUp, Invented: r.cfg.Invented}
	if w := r.walk; w != nil {
		w.closing(&body)
	}
	if err := r.record(ctx, body); err != nil {
		return err
	}
	if r.walk != nil {
		r.walk.outcome = c.Outcome
	}
	return nil
}
