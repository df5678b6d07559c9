package diagnostics

import (
	"fmt"
	"math"

	"example.org/tankhand/livelevel"
)

// relayRest asks whether the controller keeps the rests that its settings promise: the least time off between
// two runs, and the delay before the first run after a restart. By hand it may start as it likes.
type relayRest struct {
	minOff, delay float64 // s; NaN where the site sheet does not give them
	offAt         float64 // since when it is off, of a stop that was seen
	off           bool
	bootAt        float64
	booted        bool // no run since the restart
	manual        bool
	rests, short  int // rests that were whole, and those too short
	boots, early  int // first runs after a restart, and those too early
	shortest      float64
	first, last   float64 // of the too short or too early ones
}

func (r *relayRest) fromSheet(d *digest) {
	c := &d.sheet.Controller
	r.minOff, r.delay, r.shortest = c.MinOff.Or(math.NaN()), c.RestartDelay.Or(math.NaN()), math.NaN()
	r.manual = c.Control == "manual"
}

// slack allows for the pace of the feed and a firmware that counts in whole seconds.
func (r *relayRest) slack(d *digest) float64 { return 1 + 2*d.period }

func (r *relayRest) sample(s *item, d *digest) {
	if s.r.Kind == livelevel.Restart {
		r.off, r.booted, r.bootAt = false, true, s.t
		return
	}
	if on, sent := s.r.On(livelevel.Mode); sent {
		r.manual = !on
	}
	if s.first {
		r.off = false // how long it was off is not known
	}
	switch {
	case s.edge < 0:
		r.off, r.offAt = true, s.t
	case s.pump == 1:
		r.started(s, d)
	}
}

// started takes the first reading of a run; the others find nothing to judge.
func (r *relayRest) started(s *item, d *digest) {
	if r.booted {
		r.booted = false
		if !r.manual && !math.IsNaN(r.delay) {
			r.boots++
			if s.t-r.bootAt < r.delay-r.slack(d)-5 { // a boot takes its time before it says so
				r.early++
				r.broke(s.t)
			}
		}
	}
	if !r.off {
		return
	}
	r.off = false
	if r.manual || s.edge <= 0 {
		return
	}
	rest := s.t - r.offAt
	if r.rests++; !(rest >= r.shortest) {
		r.shortest = rest
	}
	if rest < r.minOff-r.slack(d) {
		r.short++
		r.broke(s.t)
	}
}

func (r *relayRest) broke(t float64) {
	if r.short+r.early == 1 {
		r.first = t
	}
	r.last = t
}

// word: one short rest may be a hand at the button of a board that does not tell its mode.
func (r *relayRest) word() string {
	switch {
	case r.short+r.early >= 2:
		return "short"
	case r.judged() > 0:
		return "kept"
	}
	return ""
}

func (r *relayRest) judged() int {
	n := r.boots
	if !math.IsNaN(r.minOff) {
		n += r.rests
	}
	return n
}

// why tells how the rests were, or what is missing to judge them.
func (r *relayRest) why() string {
	switch {
	case r.judged() > 0:
		return fmt.Sprintf("%d of %s shorter than %s, %d of %s after a restart before %s had passed", r.short, counted(r.rests, "rest", "rests"),
			lasting(r.minOff), r.early, counted(r.boots, "start", "starts"), lasting(r.delay))
	case math.IsNaN(r.minOff) && math.IsNaN(r.delay):
		return "whether rests are kept cannot be told without controller.min_off or restart_delay in the site sheet"
	}
	return "whether rests are kept cannot be told without two runs"
}

// tell adds the rests to the finding of the relay.
func (w *relayWatch) tellRests(f *Finding, now float64) {
	r := &w.rest
	short, early := math.NaN(), math.NaN()
	if !math.IsNaN(r.minOff) {
		short = float64(r.short)
	}
	if !math.IsNaN(r.delay) {
		early = float64(r.early)
	}
	f.Figures = append(f.Figures, Figure{"rests_short", orUntimed(w.d, short), "1"}, Figure{"starts_early", orUntimed(w.d, early), "1"})
	if !w.d.timed {
		return
	}
	f.Why += "; " + r.why()
	word := r.word()
	if word == "" {
		return
	}
	f.Grades = append(f.Grades, Grade{"rest", word, w.d.at(w.from), duration(now - w.from)})
	if word != "short" {
		return
	}
	f.Limit += fmt.Sprintf(", a rest of %s between runs and %s after a restart", lasting(r.minOff), lasting(r.delay))
	if f.Verdict != Fail {
		f.Source = "the controller's own settings in the site sheet"
		f.Episodes = []Episode{{w.d.span(r.first, r.last), []Figure{{"rests_short", short, "1"}, {"starts_early", early, "1"}}}}
	}
	f.Verdict = Fail
}
