package faulttree

import (
	"maps"
	"slices"

	"example.org/tankhand/faulttree/knowledge"
)

// Closed is what one closed visit teaches: a proven cause counts as one, an outcome without proof as
// the belief it ended with.
type Closed struct {
	Complaint string
	Proven    string             // the cause, "" without proof
	Belief    map[string]float64 // by cause, for visits closed without proof
}

// shippedVisits is how many visits the shipped priors are worth; leastUnlisted is what something
// unlisted always keeps.
const (
	shippedVisits = 30.0
	leastUnlisted = 0.02
)

// Learn turns a firm's closed visits into priors of a complaint, by cause, Unlisted included: the mean
// of the shipped priors, weighed as thirty visits, and what was found (Dirichlet, with fractional
// updating). It is nil where there is nothing to learn from. Rows are never learned: there are too few
// visits for each of their entries.
func Learn(c *knowledge.Complaint, visits []Closed) map[string]float64 {
	priors := shippedPriors(c)
	counts, n := counts(c, priors, visits)
	if n == 0 {
		return nil
	}
	for id, p := range priors {
		priors[id] = (shippedVisits*p + counts[id]) / (shippedVisits + n)
	}
	keepUnlisted(priors)
	return priors
}

// counts sums what visits found; a cause that the complaint does not list counts as Unlisted.
func counts(c *knowledge.Complaint, priors map[string]float64, visits []Closed) (sums map[string]float64, n float64) {
	sums = map[string]float64{}
	add := func(id string, v float64) {
		if _, listed := priors[id]; !listed {
			id = Unlisted
		}
		sums[id] += v
	}
	for _, v := range visits {
		total := 0.0
		for _, p := range v.Belief {
			total += max(0, p)
		}
		switch {
		case v.Complaint != c.ID:
			continue
		case v.Proven != "":
			add(v.Proven, 1)
		case total > 0:
			for _, id := range slices.Sorted(maps.Keys(v.Belief)) {
				add(id, max(0, v.Belief[id])/total)
			}
		default:
			continue
		}
		n++
	}
	return sums, n
}

// keepUnlisted leaves something unlisted its least share.
func keepUnlisted(priors map[string]float64) {
	if priors[Unlisted] >= leastUnlisted {
		return
	}
	scale := (1 - leastUnlisted) / (1 - priors[Unlisted])
	for id := range priors {
		priors[id] *= scale
	}
	priors[Unlisted] = leastUnlisted
}
