package knowledge

import (
	"maps"
	"math"
	"slices"
	"strings"

	"example.org/tankhand/livelevel/site"
)

// lint checks everything read: what makes the knowledge refuse to load goes to the documents with
// its place, what is only to be looked at is returned.
func (r *reader) lint() (warnings []string) {
	for _, id := range sortedKeys(r.base.Causes) {
		r.lintCause(r.base.Causes[id], r.place["cause/"+id])
	}
	for _, id := range sortedKeys(r.base.Probes) {
		r.lintProbe(r.base.Probes[id], r.place["probe/"+id])
	}
	for _, c := range r.base.Complaints {
		r.lintComplaint(c, r.place["complaint/"+c.ID])
	}
	if r.err() != nil {
		return nil
	}
	return r.warn()
}

func sortedKeys[T any](m map[string]T) []string { return slices.Sorted(maps.Keys(m)) }

func (r *reader) lintCause(c *Cause, p *at) {
	r.words(p, "hazards", c.Hazards, Hazards)
	if c.Minutes <= 0 || c.Minutes > 600 {
		p.problem("minutes", "a remedy takes more than 0 and at most 600 minutes, not %g", c.Minutes)
	}
	if c.Works <= 0 || c.Works > 1 {
		p.problem("works", "the chance that it cures is above 0 and at most 1, not %g", c.Works)
	}
	r.lintProof(c.Proof, p)
	for _, b := range c.Because {
		if r.base.Causes[b] == nil {
			p.problem("because", "there is no cause %q", b)
		}
	}
	for _, a := range c.Also {
		if a.Probe != "" && r.base.Probes[a.Probe] == nil {
			p.problem("also", "there is no probe %q", a.Probe)
		}
		if (a.Probe == "") == (a.Note == "") {
			p.problem("also", "each entry has either a probe or a note")
		}
	}
}

func (r *reader) lintProof(pr Proof, p *at) {
	probe := r.base.Probes[pr.Probe]
	switch {
	case probe == nil:
		p.problem("proof", "there is no probe %q", pr.Probe)
	case !slices.Contains(probe.Answers, pr.Want):
		p.problem("proof", "%q is no answer of %s; it has %s", pr.Want, pr.Probe, strings.Join(probe.Answers, ", "))
	}
}

// words reports entries that are none of the known.
func (r *reader) words(p *at, key string, got, known []string) {
	for _, w := range got {
		if !slices.Contains(known, w) {
			p.problem(key, "%q is not known; there are %s", w, strings.Join(known, ", "))
		}
	}
}

func (r *reader) lintProbe(b *Probe, p *at) {
	r.words(p, "hazards", b.Hazards, Hazards)
	r.words(p, "needs", b.Needs, Needs)
	r.lintAnswers(b, p)
	r.lintRow(p, "usual", b.Usual, len(b.Answers))
	for _, c := range sortedKeys(b.Rows) {
		if r.base.Causes[c] == nil {
			p.problem("rows", "there is no cause %q", c)
		}
		r.lintRow(p, "rows", b.Rows[c], len(b.Answers))
	}
	r.lintBands(b, p)
	r.lintSafety(b, p)
	for _, a := range b.After {
		if r.base.Probes[a] == nil {
			p.problem("after", "there is no probe %q", a)
		}
	}
	for _, n := range sortedKeys(b.NotAfter) {
		if q := r.base.Probes[n]; q == nil {
			p.problem("not_after", "there is no probe %q", n)
		} else {
			r.words(p, "not_after", b.NotAfter[n], q.Answers)
		}
	}
}

func (r *reader) lintAnswers(b *Probe, p *at) {
	if n := len(b.Answers); n < 2 || n > 9 {
		p.problem("answers", "a probe has 2 to 9 answers, not %d", n)
	}
	for i, a := range b.Answers {
		if slices.Contains(b.Answers[:i], a) {
			p.problem("answers", "the answer %q stands here twice", a)
		}
	}
	from := b.Check + "." + b.Aspect
	words, known := Aspects[from]
	switch {
	case b.Kind != "watch" && b.Check != "":
		p.problem("from", "only watch probes read the feed; this one is %s", b.Kind)
	case b.Kind == "watch" && !known:
		p.problem("from", "no check grades %q; there are %s", from, strings.Join(sortedKeys(Aspects), ", "))
	case b.Kind == "watch" && !slices.Equal(words, b.Answers):
		p.problem("answers", "the answers of %s are %s, in this order", from, strings.Join(words, ", "))
	}
	if b.Minutes <= 0 || b.Minutes > 600 {
		p.problem("minutes", "a probe takes more than 0 and at most 600 minutes, not %g", b.Minutes)
	}
}

// lintRow checks one row of probabilities.
func (r *reader) lintRow(p *at, key string, row []float64, n int) {
	total := 0.0
	for _, v := range row {
		total += v
		if v <= 0 {
			p.problem(key, "every entry is above zero, also in %v: nothing is impossible", row)
			return
		}
	}
	if len(row) != n {
		p.problem(key, "%v has %d entries for %d answers", row, len(row), n)
	} else if math.Abs(total-1) > 1e-6 {
		p.problem(key, "%v sums to %.6g, not to 1", row, total)
	}
}

func (r *reader) lintBands(b *Probe, p *at) {
	if len(b.Bands) == 0 {
		return
	}
	if b.Kind != "measured" {
		p.problem("bands", "only measured probes have limits")
	}
	if len(b.Bands) != len(b.Answers)-1 {
		p.problem("bands", "%d limits part %d answers, not %d", len(b.Bands), len(b.Bands)+1, len(b.Answers))
	}
	for _, text := range b.Bands {
		if _, err := site.ParseFormula(text); err != nil {
			p.problem("bands", "%v", err)
		}
	}
}

// lintSafety holds the rules that keep people and pumps whole.
func (r *reader) lintSafety(b *Probe, p *at) {
	has := func(list []string, w string) bool { return slices.Contains(list, w) }
	if has(b.Hazards, "running-pump") && b.Caution == "" {
		p.problem("hazards", "a probe with a running pump needs a caution")
	}
	if has(b.Hazards, "running-pump") && has(b.Needs, "pump-held") {
		p.problem("needs", "a probe cannot have the pump both running and held")
	}
	if has(b.Needs, "isolated") && !has(b.Hazards, "mains-dead") {
		p.problem("hazards", "who isolates works on the mains: mains-dead is missing")
	}
	if has(b.Needs, "top") && !has(b.Hazards, "height") {
		p.problem("hazards", "the tank top is a height: height is missing")
	}
}

func (r *reader) lintComplaint(c *Complaint, p *at) {
	if c.Unlisted < 0.02 || c.Unlisted > 0.5 {
		p.problem("unlisted", "something unlisted keeps 0.02 to 0.5, not %g", c.Unlisted)
	}
	for _, id := range c.Causes {
		if r.base.Causes[id] == nil {
			p.problem("priors", "there is no cause %q", id)
		}
		if c.Priors[id] <= 0 {
			p.problem("priors", "the weight of %s is above zero; use a small one, or leave it out", id)
		}
	}
	if len(c.Causes) < 2 {
		p.problem("priors", "a complaint has at least two causes")
	}
	r.words(p, "probes", c.Probes, sortedKeys(r.base.Probes))
	r.lintProof(c.Proof, p)
	r.lintSeen(c, p)
	r.lintOverrides(c, p)
	if r.sound(c) {
		r.lintProofs(c, p)
	}
}

func (r *reader) lintSeen(c *Complaint, p *at) {
	for _, s := range c.Seen {
		words, known := Aspects[s.Check+"."+s.Aspect]
		if !known {
			p.problem("seen", "no check grades %q", s.Check+"."+s.Aspect)
			continue
		}
		r.words(p, "seen", s.Any, words)
	}
}

func (r *reader) lintOverrides(c *Complaint, p *at) {
	for _, id := range sortedKeys(c.Usual) {
		if b := r.base.Probes[id]; b == nil || !slices.Contains(c.Probes, id) {
			p.problem("usual", "%q is not on this complaint's list of probes", id)
		} else {
			r.lintRow(p, "usual", c.Usual[id], len(b.Answers))
		}
	}
	for _, id := range sortedKeys(c.Rows) {
		b := r.base.Probes[id]
		if b == nil || !slices.Contains(c.Probes, id) {
			p.problem("rows", "%q is not on this complaint's list of probes", id)
			continue
		}
		for _, cause := range sortedKeys(c.Rows[id]) {
			if !slices.Contains(c.Causes, cause) {
				p.problem("rows", "%q is not among this complaint's causes", cause)
			}
			r.lintRow(p, "rows", c.Rows[id][cause], len(b.Answers))
		}
	}
}

// sound tells whether a complaint's rows can be reckoned with.
func (r *reader) sound(c *Complaint) bool {
	for _, id := range c.Probes {
		if b := r.base.Probes[id]; b == nil || len(b.Usual) != len(b.Answers) {
			return false
		}
	}
	for _, id := range c.Causes {
		if cause := r.base.Causes[id]; cause == nil || r.base.Probes[cause.Proof.Probe] == nil {
			return false
		}
	}
	return r.err() == nil
}

// proofLimit is how often a proof may come out right while the cause is still there.
const proofLimit = 0.20

// lintProofs refuses an own proof that often passes uncured.
func (r *reader) lintProofs(c *Complaint, p *at) {
	for _, id := range c.Causes {
		pr := r.base.Causes[id].Proof
		if v := r.chance(c, pr, id); v > proofLimit {
			p.problem("priors", "the proof of %s (%s: %s) comes up in %.0f %% of visits while the cause is still there; at most %.0f %%",
				id, pr.Probe, pr.Want, 100*v, 100*proofLimit)
		}
	}
}

// chance is how often a proof's wanted answer comes up under a cause.
func (r *reader) chance(c *Complaint, pr Proof, cause string) float64 {
	b := r.base.Probes[pr.Probe]
	k := slices.Index(b.Answers, pr.Want)
	return Row(b, c, cause)[k]
}

// Row is how often a probe's answers come up under a cause, given a complaint.
func Row(b *Probe, c *Complaint, cause string) []float64 {
	if row, ok := c.Rows[b.ID][cause]; ok {
		return row
	}
	if row, ok := b.Rows[cause]; ok {
		return row
	}
	if row, ok := c.Usual[b.ID]; ok {
		return row
	}
	return b.Usual
}

// usualRow is the row of causes that have no say.
func usualRow(b *Probe, c *Complaint) []float64 {
	if row, ok := c.Usual[b.ID]; ok {
		return row
	}
	return b.Usual
}
