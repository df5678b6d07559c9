package diagnostics

import "time"

// pauses are the stretches of the feed that the checks were told to pass over. The checks' clock stands
// still meanwhile: no word is held, and nothing counts as silence, in hours that nobody asked for.
type pauses struct {
	after []float64 // on the checks' clock
	skip  []float64 // s passed over up to there, in all
}

const mostPauses = 4096 // eleven years of nights

func (p *pauses) total() float64 {
	if n := len(p.skip); n > 0 {
		return p.skip[n-1]
	}
	return 0
}

// before is what was passed over before a time of the checks' clock.
func (p *pauses) before(t float64) float64 {
	for i := len(p.after) - 1; i >= 0; i-- {
		if t > p.after[i] {
			return p.skip[i]
		}
	}
	return 0
}

// resume goes on at a time of the feed after a pause.
func (d *digest) resume(at time.Time) {
	d.resumed, d.clock.begun = true, false
	if !d.begun || !d.timed || at.IsZero() {
		return
	}
	skip := at.Sub(d.start).Seconds() - d.s.t
	if skip <= d.pauses.total() {
		return
	}
	if n := len(d.pauses.skip); n == mostPauses {
		d.pauses.skip[n-1] = skip
		return
	}
	d.pauses.after, d.pauses.skip = append(d.pauses.after, d.s.t), append(d.pauses.skip, skip)
}
