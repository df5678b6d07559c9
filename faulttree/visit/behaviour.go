package visit

import (
	"context"
	"encoding/json"
	"sort"
	"time"

	"example.org/tankhand/faulttree"
)

// SwitchesPerDay is the one figure of a Behaviour that no check names: switches over the stretch of
// feed they were counted in.
const SwitchesPerDay = "switches_per_day"

// leastDayShare is how long a feed must have run before its switches are counted out to a day.
const leastDayShare = time.Hour

// behaviourFigures are what is compared from visit to visit, in the order in which it is shown.
var behaviourFigures = []struct{ check, figure string }{
	{"reading-spread", "spread_m"}, {"echo-dropouts", "dropout_fraction"}, {"fill-rate", "fill_m3_per_h"},
	{"relay-switching", "starts_per_h_worst"}, {"relay-switching", SwitchesPerDay}, {"restarts", "restarts"},
}

// BehaviourNames are the figures of a Behaviour in the order in which they are shown.
func BehaviourNames() []string {
	var out []string
	for _, f := range behaviourFigures {
		out = append(out, f.figure)
	}
	return out
}

// Behaviour is how an installation behaved at a time, as far as it was measured: figures by name.
type Behaviour map[string]float64

// Behaviour picks the figures that are compared from visit to visit out of findings.
func (b *FindingsBody) Behaviour() Behaviour {
	out := Behaviour{}
	if b == nil {
		return out
	}
	for i := range b.Findings {
		f := &b.Findings[i]
		for _, k := range behaviourFigures {
			if k.check != f.Check {
				continue
			}
			if v, ok := f.Figure(k.figure); ok {
				out[k.figure] = v
			}
		}
		if v, ok := f.Figure("switches"); ok && f.Check == "relay-switching" && f.To.Sub(f.From) >= leastDayShare {
			out[SwitchesPerDay] = v * float64(24*time.Hour) / float64(f.To.Sub(f.From))
		}
	}
	return out
}

// CauseMet is how often a firm met a cause under a complaint.
type CauseMet struct {
	Complaint, Cause, Title string
	Visits, Proven          int
	Minutes                 float64  // mean of the technician's minutes
	Prior                   *float64 // mean of what was thought before, where it was recorded
}

// Causes counts the causes of all closed visits, the most frequent first; visits without a cause
// count under "".
func (s *sqlStore) Causes(ctx context.Context) ([]CauseMet, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT v.complaint, e.body FROM events e JOIN visits v ON v.id = e.visit
		WHERE e.kind = 'outcome' AND v.outcome <> ''
		AND e.seq = (SELECT max(l.seq) FROM events l WHERE l.kind = 'outcome' AND l.visit = e.visit)`)
	if err != nil {
		return nil, storeError("reading", s.path, err)
	}
	defer rows.Close()
	count := causeCount{}
	for rows.Next() {
		var complaint, body string
		var o OutcomeBody
		if err := rows.Scan(&complaint, &body); err != nil {
			return nil, storeError("reading", s.path, err)
		}
		if json.Unmarshal([]byte(body), &o) == nil { // an outcome of a newer program is not counted
			count.add(complaint, o)
		}
	}
	if err := rows.Err(); err != nil {
		return nil, storeError("reading", s.path, err)
	}
	return count.sorted(), nil
}

// Closed is what the closed visits of a complaint teach; practice rigs teach nothing.
func (s *sqlStore) Closed(ctx context.Context, complaint string) ([]faulttree.Closed, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT e.body FROM events e JOIN visits v ON v.id = e.visit
		WHERE e.kind = 'outcome' AND v.outcome <> '' AND v.complaint = ?
		AND e.seq = (SELECT max(l.seq) FROM events l WHERE l.kind = 'outcome' AND l.visit = e.visit)`, complaint)
	if err != nil {
		return nil, storeError("reading", s.path, err)
	}
	defer rows.Close()
	var out []faulttree.Closed
	for rows.Next() {
		var body string
		var o OutcomeBody
		if err := rows.Scan(&body); err != nil {
			return nil, storeError("reading", s.path, err)
		}
		if json.Unmarshal([]byte(body), &o) == nil && !o.Invented {
			out = append(out, faulttree.Closed{Complaint: complaint, Proven: o.Proven, Belief: o.Suspects})
		}
	}
	if err := rows.Err(); err != nil {
		return nil, storeError("reading", s.path, err)
	}
	return out, nil
}

type causeSum struct {
	CauseMet
	minutes, priors float64
	withPrior       int
}

type causeCount map[[2]string]*causeSum

func (c causeCount) add(complaint string, o OutcomeBody) {
	key := [2]string{complaint, o.Cause}
	s := c[key]
	if s == nil {
		s = &causeSum{CauseMet: CauseMet{Complaint: complaint, Cause: o.Cause, Title: o.Title}}
		c[key] = s
	}
	s.Visits++
	if o.Proven != "" && o.Proven == o.Cause {
		s.Proven++
	}
	s.minutes += o.Minutes
	if o.Prior != nil {
		s.priors += *o.Prior
		s.withPrior++
	}
}

func (c causeCount) sorted() []CauseMet {
	out := make([]CauseMet, 0, len(c))
	for _, s := range c {
		s.Minutes = s.minutes / float64(s.Visits)
		if s.withPrior > 0 {
			mean := s.priors / float64(s.withPrior)
			s.Prior = &mean
		}
		out = append(out, s.CauseMet)
	}
	sort.Slice(out, func(i, j int) bool {
		a, b := out[i], out[j]
		switch {
		case a.Visits != b.Visits:
			return a.Visits > b.Visits
		case a.Complaint != b.Complaint:
			return a.Complaint < b.Complaint
		}
		return a.Cause < b.Cause
	})
	return out
}

// AssetVisits lists the visits to one asset, oldest first.
func (s *sqlStore) AssetVisits(ctx context.Context, site, asset string) ([]Summary, error) {
	return s.summaries(ctx, "WHERE site = ? AND asset = ? ORDER BY begun, number", site, asset)
}
