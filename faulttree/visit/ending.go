package visit

import "example.org/tankhand/faulttree"

// closing adds what the walk knows to an outcome: the cause named, its proof, the minutes. What killed a
// part is kept apart from the part that was found dead.
func (w *walking) closing(body *OutcomeBody) {
	for _, s := range w.walk.Steps() {
		body.Minutes += s.Minutes
	}
	main := w.walk.Main()
	cause := lastRemedy(main.Steps())
	body.Suspects = map[string]float64{}
	for _, s := range main.Suspects() {
		body.Suspects[s.Cause] = s.Probability
		if s.Cause != cause {
			continue
		}
		prior, belief := s.Prior, s.Probability
		body.Cause, body.Title, body.Prior, body.Belief = s.Cause, s.Title, &prior, &belief
		if body.Outcome == MendedProven && w.proven() {
			body.Proven = s.Cause
		}
	}
	damage := lastRemedy(w.walk.Steps())
	for _, s := range w.walk.Suspects() {
		if s.Cause == damage && damage != cause {
			body.Because, body.BecauseTitle = s.Cause, s.Title
		}
	}
}

func lastRemedy(steps []faulttree.Step) (cause string) {
	for _, s := range steps {
		if s.Act == faulttree.Remedied {
			cause = s.Cause
		}
	}
	return cause
}

// proven tells whether the proofs of the cure have passed; what killed the part may still be open, but a
// remedy against it that was begun must be proven, too.
func (w *walking) proven() bool {
	o, main := w.walk.Next(), w.walk.Main().Next()
	return main.Done && main.Proven && !o.Proof && (!o.Done || o.Proven)
}
