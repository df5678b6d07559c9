package diagnostics

import (
	"fmt"
	"math"

	"example.org/tankhand/livelevel"
)

// relaySwitching counts what the controller makes the relay do.
var relaySwitching = &kind{
	id: "relay-switching", make: func(s setup) observer { return newRelayWatch(s) },
	window: 3600e9,
	aspects: []Aspect{{"amount", []string{"rare", "several", "many"}},
		{"spacing", []string{"near-a-mark", "even-and-quick", "after-restarts", "at-any-level"}}, {"rest", []string{"kept", "short"}}},
}

type relayWatch struct {
	passive
	h                *holder
	starts, switches int
	times            timeRing // of starts
	last             float64  // time of the last edge
	have             bool     // last is an edge whose other end is known to be a whole stretch
	shortOn          float64
	shortOff         float64
	known            bool
	firstPump        float64
	ctx              switchContext
	day              dayCounts // of starts
	rest             relayRest
	limit            float64
	source           string
}

func newRelayWatch(s setup) *relayWatch {
	w := &relayWatch{passive: passive{s}, shortOn: math.NaN(), shortOff: math.NaN()}
	w.h = newHolder(s.aspects[0], 10, "several", "many")
	w.ctx.restart = math.Inf(-1)
	var starts, switches int
	w.h.opened = func() { starts, switches = w.starts, w.switches }
	w.h.figure = func() []Figure {
		return []Figure{{"starts", float64(w.starts - starts), "1"}, {"switches", float64(w.switches - switches), "1"}}
	}
	w.rest.fromSheet(s.d)
	w.limit, w.source = StartsLimit(s.sheet)
	return w
}

func (w *relayWatch) sample(s *item) {
	w.rest.sample(s, w.d)
	switch {
	case s.r.Kind == livelevel.Restart:
		w.ctx.restart = s.t
		return
	case s.pump < 0:
		w.have = false
		return
	case !w.known:
		w.known, w.firstPump = true, s.t
	}
	w.day.add(s.slot, float64(max(0, s.edge)), 1)
	if s.edge == 0 {
		return
	}
	w.switches++
	if w.have {
		w.stretch(s)
	}
	w.last, w.have = s.t, true
	if s.edge > 0 {
		w.starts++
		w.times.add(s.t)
	}
	w.ctx.add(s, w.d)
}

// stretch takes the time between two edges.
func (w *relayWatch) stretch(s *item) {
	short := &w.shortOff
	if s.edge < 0 {
		short = &w.shortOn
	}
	if d := s.t - w.last; !(d >= *short) {
		*short = d
	}
	w.ctx.length(s.t - w.last)
}

func (w *relayWatch) beat(t float64) {
	if w.known && w.d.timed {
		w.h.see(t, w.word(t))
	}
}

// word: many is a rate that wears a contact in weeks, several is above the limit of starts per hour.
func (w *relayWatch) word(t float64) string {
	c2, c10, c30, c60 := w.times.within(t, 120), w.times.within(t, 600), w.times.within(t, 1800), w.times.within(t, 3600)
	l := w.limit
	switch {
	case c2 >= 5 || float64(c10) >= math.Max(6, 4*l/6):
		return "many"
	case float64(c10) > math.Max(3, 1.5*l/6) || float64(c30) > math.Max(4, 1.2*l/2) || float64(c60) > l:
		return "several"
	}
	return "rare"
}

// perHour is the worst hour; a feed under an hour is scaled up, from ten minutes on.
func (w *relayWatch) perHour(now float64) float64 {
	if !w.known || !w.d.timed {
		return math.NaN()
	}
	if lasted := now - w.firstPump; lasted < 3600 {
		return float64(w.starts) * 3600 / math.Max(lasted, 600)
	}
	return float64(w.times.worst)
}

func (w *relayWatch) finding(now float64) Finding {
	f := Finding{Check: w.id, Evidence: w.d.span(w.from, now), Source: w.source,
		Limit: fmt.Sprintf("at most %.3g starts per hour", w.limit)}
	rate := w.perHour(now)
	f.Figures = []Figure{{"starts", float64(w.starts), "1"}, {"switches", float64(w.switches), "1"}, {"starts_per_h_worst", rate, "1/h"},
		{"shortest_on_s", orUntimed(w.d, w.shortOn), "s"}, {"shortest_off_s", orUntimed(w.d, w.shortOff), "s"}}
	if !w.known {
		f.Figures = append(f.Figures, Figure{"rests_short", 0, "1"}, Figure{"starts_early", 0, "1"})
		for i := range f.Figures {
			f.Figures[i].Value = math.NaN()
		}
		f.Why, f.Missing = "the feed does not say what the relay does", "a pump or relay column in the feed"
		return f
	}
	word := w.h.word(w.whole, "")
	f.Why = fmt.Sprintf("%s and %s, %s starts an hour at the worst (limit %.3g)", counted(w.starts, "start", "starts"),
		counted(w.switches, "switching", "switchings"), number(rate), w.limit)
	f.Grades = w.h.grade(&w.setup, word, now)
	f.Verdict = w.verdict(word, f.Grades)
	f.Missing = missingIf(word == "", "some seconds of feed with times")
	if s := w.ctx.word(w.d.period); s != "" {
		f.Grades = append(f.Grades, Grade{"spacing", s, w.d.at(w.from), duration(now - w.from)})
	}
	if f.Verdict == Fail {
		w.day.tell(&f, "starts")
		f.Episodes = w.h.list(&w.setup, now)
	}
	w.tellRests(&f, now)
	return f
}

// verdict: someone who tries start and stop three times makes several switchings, but not for ten minutes.
func (w *relayWatch) verdict(word string, g []Grade) Verdict {
	v := w.h.verdict(word)
	if word == "several" && len(g) > 0 && g[0].Held < duration(600) {
		return Pass
	}
	return v
}
