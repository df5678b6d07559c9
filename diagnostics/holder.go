package diagnostics

import (
	"math"
	"slices"
	"time"
)

// holder keeps the word of one aspect: a new word must last before it is shown, in both directions,
// in feed time. It remembers the longest stretch of each word and the stretches that failed.
type holder struct {
	aspect string
	words  []string
	hold   []float64 // s that a word must last before it is shown; by word
	worst  []int     // words from harmless to worst: what a whole feed is called after
	bad    []bool    // words that make an episode
	cur    int       // -1 before the first word
	since  float64
	cand   int
	from   float64
	seen   float64 // last time a word came
	long   []stretch
	ep     episodes
	opened func()          // an episode begins
	figure func() []Figure // its figures, taken at its end
	// clock turns the holder's time into feed time where it counts something else: pump-on time.
	clock func(t float64) float64
}

type stretch struct{ from, to float64 }

func (s stretch) length() float64 { return s.to - s.from }

// newHolder makes the holder of an aspect of a kind; hold is for the words called bad, a third of it
// for the way back.
func newHolder(a Aspect, hold float64, bad ...string) *holder {
	h := &holder{aspect: a.Name, words: a.Words, cur: -1, cand: -1}
	h.long = make([]stretch, len(a.Words))
	h.hold = make([]float64, len(a.Words))
	h.bad = make([]bool, len(a.Words))
	for i, w := range a.Words {
		h.hold[i] = hold / 3
		h.worst = append(h.worst, i)
		for _, b := range bad {
			if b == w {
				h.hold[i], h.bad[i] = hold, true
			}
		}
	}
	return h
}

// index of a word; -1 for "".
func (h *holder) index(word string) int {
	for i, w := range h.words {
		if w == word {
			return i
		}
	}
	return -1
}

// see takes the word of now; "" says that it cannot be told, and changes nothing.
func (h *holder) see(t float64, word string) {
	w := h.index(word)
	if w < 0 {
		return
	}
	h.seen = t
	switch {
	case w == h.cur:
		h.cand = -1
	case w != h.cand:
		h.cand, h.from = w, t
	}
	if h.cand >= 0 && (t-h.from >= h.hold[w] || h.cur < 0 && !h.bad[w]) {
		h.change(w, h.from)
	}
	if h.cur >= 0 {
		h.keep(h.cur, h.since, t)
	}
}

// seeFrom is see for a word whose evidence began earlier.
func (h *holder) seeFrom(t, from float64, word string) {
	if w := h.index(word); w >= 0 && w != h.cur && w != h.cand {
		h.cand, h.from = w, from
	}
	h.see(t, word)
}

// drop ends the present word where it is one of these: it holds no longer, and what holds is not known.
func (h *holder) drop(words ...string) {
	h.cand = -1
	if h.cur < 0 || !slices.Contains(words, h.words[h.cur]) {
		return
	}
	h.keep(h.cur, h.since, h.seen)
	if h.bad[h.cur] {
		h.ep.end(h.feed(h.seen), h.figures())
	}
	h.cur = -1
}

func (h *holder) change(w int, from float64) {
	if h.cur >= 0 {
		h.keep(h.cur, h.since, from)
		if h.bad[h.cur] && !h.bad[w] {
			h.ep.end(h.feed(from), h.figures())
		}
	}
	if h.bad[w] && (h.cur < 0 || !h.bad[h.cur]) {
		h.ep.begin(h.feed(from))
		if h.opened != nil {
			h.opened()
		}
	}
	h.cur, h.since, h.cand = w, from, -1
}

func (h *holder) feed(t float64) float64 {
	if h.clock == nil {
		return t
	}
	return h.clock(t)
}

func (h *holder) figures() []Figure {
	if h.figure == nil {
		return nil
	}
	return h.figure()
}

func (h *holder) keep(w int, from, to float64) {
	if s := &h.long[w]; to-from >= s.length() {
		*s = stretch{from, to}
	}
}

// word is what is shown: the present one, or over a whole feed the worst that was ever held, or
// least when the figures of the whole feed alone say worse. "" while nothing is known.
func (h *holder) word(whole bool, least string) string {
	found := least
	if h.cur >= 0 {
		found = h.words[h.cur]
	}
	if !whole {
		return found
	}
	for _, w := range h.worst {
		if h.long[w].length() > 0 && h.long[w].length() >= h.hold[w] || h.words[w] == least {
			found = h.words[w]
		}
	}
	return found
}

// forget takes back all stretches of a word: what came later has shown that it was another.
func (h *holder) forget(t float64, word string) {
	if w := h.index(word); w >= 0 {
		h.long[w] = stretch{}
		if h.cur == w {
			h.since = t
		}
	}
}

// grade is the word with its stretch.
func (h *holder) grade(s *setup, word string, now float64) []Grade {
	w := h.index(word)
	if w < 0 {
		return nil
	}
	st := h.long[w]
	if w == h.cur {
		last := stretch{h.since, math.Max(now, h.since)}
		if !s.whole || last.length() >= st.length() {
			st = last
		}
	}
	return []Grade{{Aspect: h.aspect, Word: word, Since: s.d.at(h.feed(st.from)), Held: duration(st.length())}}
}

// failing tells whether the present word is one of the failing ones.
func (h *holder) failing() bool { return h.cur >= 0 && h.bad[h.cur] }

// isBad tells whether a word is one of the failing ones.
func (h *holder) isBad(word string) bool {
	w := h.index(word)
	return w >= 0 && h.bad[w]
}

// verdict of a word: fail when bad, pass when not, cannot tell when there is none.
func (h *holder) verdict(word string) Verdict {
	switch {
	case word == "":
		return CannotTell
	case h.isBad(word):
		return Fail
	}
	return Pass
}

// list are the stretches that failed, the running one included.
func (h *holder) list(s *setup, now float64) []Episode {
	return h.ep.list(s, now, h.figures)
}

// duration turns seconds into a duration.
func duration(s float64) time.Duration {
	return time.Duration(math.Min(s, 9e9) * float64(time.Second))
}

// episodes keeps the first and the last stretches that failed: bounded, however long the feed.
type episodes struct {
	spans   []stretch
	figures [][]Figure
	dropped int
	open    bool
	from    float64
}

const mostEpisodes = 64

func (e *episodes) begin(t float64) { e.open, e.from = true, t }

func (e *episodes) end(t float64, figures []Figure) {
	if !e.open {
		return
	}
	e.open = false
	if len(e.spans) == mostEpisodes {
		half := mostEpisodes / 2
		e.spans = append(e.spans[:half], e.spans[half+1:]...)
		e.figures = append(e.figures[:half], e.figures[half+1:]...)
		e.dropped++
	}
	e.spans = append(e.spans, stretch{e.from, t})
	e.figures = append(e.figures, figures)
}

func (e *episodes) list(s *setup, now float64, figures func() []Figure) []Episode {
	var out []Episode
	for i, sp := range e.spans {
		out = append(out, Episode{s.d.span(sp.from, sp.to), e.figures[i]})
	}
	if e.open {
		out = append(out, Episode{s.d.span(e.from, now), figures()})
	}
	return out
}
