package diagnostics

import (
	"fmt"
	"math"

	"example.org/tankhand/livelevel"
)

// inputsCheck watches the button and demand lines, with nobody touching them.
var inputsCheck = &kind{
	id: "inputs", make: func(s setup) observer { return newInputWatch(s) },
	window:  300e9,
	aspects: []Aspect{{"state", []string{"quiet", "presses", "held"}}},
}

type inputWatch struct {
	passive
	h           *holder
	lines       [2]inputLine // button, demand
	times       timeRing
	edges       int
	held        float64
	limit, most float64
	source      string
}

type inputLine struct {
	known, on bool
	since     float64
}

func newInputWatch(s setup) *inputWatch {
	w := &inputWatch{passive: passive{s}}
	w.h = newHolder(s.aspects[0], 10, "presses", "held")
	edges := 0
	w.h.opened = func() { edges = w.edges }
	w.h.figure = func() []Figure { return []Figure{{"edges", float64(w.edges - edges), "1"}, {"held_s", w.held, "s"}} }
	w.limit, w.source = limit(s.sheet, "inputs.presses", 16)
	w.most, _ = limit(s.sheet, "inputs.held", 30)
	return w
}

func (w *inputWatch) sample(s *item) {
	if s.r.Kind != livelevel.Report {
		return
	}
	for i, role := range [...]livelevel.Role{livelevel.Button, livelevel.Demand} {
		on, sent := s.r.On(role)
		if !sent {
			continue
		}
		l := &w.lines[i]
		if l.known && !s.first && on != l.on {
			w.edges++
			w.times.add(s.t)
		}
		if !l.known || s.first || on != l.on {
			*l = inputLine{true, on, s.t}
		}
		if on && i == 0 {
			w.held = math.Max(w.held, s.t-l.since)
		}
	}
}

// word: somebody who tries a button thrice makes six edges; a demand line may be held for hours.
func (w *inputWatch) word(t float64) (string, float64) {
	b := &w.lines[0]
	switch {
	case b.known && b.on && t-b.since > w.most:
		return "held", b.since
	case float64(w.times.within(t, 300)) >= w.limit:
		return "presses", t
	}
	return "quiet", t
}

func (w *inputWatch) beat(t float64) {
	if w.lines[0].known || w.lines[1].known {
		word, from := w.word(t)
		w.h.seeFrom(t, from, word)
	}
}

func (w *inputWatch) finding(now float64) Finding {
	f := Finding{Check: w.id, Source: w.source, Evidence: w.d.span(w.from, now),
		Figures: []Figure{{"edges", float64(w.edges), "1"}, {"held_s", orUntimed(w.d, w.held), "s"}},
		Limit:   fmt.Sprintf("under %.0f edges in five minutes, no button held for %s", w.limit, lasting(w.most)),
		Why:     fmt.Sprintf("%s on the button and demand lines, a button held for %s at the longest", counted(w.edges, "edge", "edges"), w.d.lasting(w.held))}
	if !w.lines[0].known && !w.lines[1].known {
		for i := range f.Figures {
			f.Figures[i].Value = math.NaN()
		}
		f.Why, f.Missing = "the feed does not bring button or demand", "a button or demand column in the feed"
		return f
	}
	word := w.h.word(w.whole, "")
	f.Verdict, f.Grades, f.Episodes = w.h.verdict(word), w.h.grade(&w.setup, word, now), w.h.list(&w.setup, now)
	f.Missing = missingIf(word == "", "some seconds of feed with times")
	return f
}
