package diagnostics

import (
	"fmt"
	"math"
)

// echoDropouts counts the pings that brought no echo.
var echoDropouts = &kind{
	id: "echo-dropouts", make: func(s setup) observer { return newEchoWatch(s) },
	aspects: []Aspect{{"amount", []string{"few", "some", "nearly-all"}},
		{"when", []string{"any-time", "near-full", "near-empty", "with-pump", "comes-and-goes", "certain-hours"}}},
}

type echoWatch struct {
	passive
	h            *holder
	pings, lost  float64
	ring         [12]pingSlot // 5 s each
	recent       [32]bool     // the last pings, for feeds too slow for the ring
	next         int
	lostFrom     float64
	losing       bool
	longest      float64
	hour         pingSlot
	worst        float64
	where        lossContext
	day          dayCounts
	repeat       repeatWatch
	some, nearly float64
	source       string
}

type pingSlot struct{ start, pings, lost float64 }

func newEchoWatch(s setup) *echoWatch {
	w := &echoWatch{passive: passive{s}, worst: math.NaN()}
	w.h = newHolder(s.aspects[0], 20, "some", "nearly-all")
	w.some, w.source = limit(s.sheet, "echo-dropouts.some", 0.05)
	w.nearly, _ = limit(s.sheet, "echo-dropouts.nearly-all", 0.8)
	if s.whole {
		w.h.hold[1], w.h.hold[2] = 120, 45 // spray while filling passes
	}
	var pings, lost float64
	w.h.opened = func() { pings, lost = w.pings, w.lost }
	w.h.figure = func() []Figure { return []Figure{{"dropout_fraction", share(w.lost-lost, w.pings-pings), "%"}} }
	return w
}

func (w *echoWatch) sample(s *item) {
	if !s.lost && !s.seen {
		return
	}
	w.pings++
	w.count(s)
	w.where.add(s)
	if !s.lost {
		if w.losing {
			w.longest = math.Max(w.longest, s.t-w.lostFrom)
		}
		w.losing = false
		return
	}
	w.lost++
	if !w.losing {
		w.losing, w.lostFrom = true, s.t
	}
}

// count keeps the last minute and the present hour.
func (w *echoWatch) count(s *item) {
	miss := 0.0
	if s.lost {
		miss = 1
	}
	slot := &w.ring[int(s.t/5)%len(w.ring)]
	if start := math.Floor(s.t/5) * 5; slot.start != start {
		*slot = pingSlot{start: start}
	}
	slot.pings++
	slot.lost += miss
	w.day.add(s.slot, miss, 1)
	w.recent[w.next] = s.lost
	w.next = (w.next + 1) % len(w.recent)
	if start := math.Floor(s.t / 3600); w.hour.start != start {
		w.closeHour()
		w.hour = pingSlot{start: start}
	}
	w.hour.pings++
	w.hour.lost += miss
}

func (w *echoWatch) closeHour() {
	if w.hour.pings >= 20 {
		if f := w.hour.lost / w.hour.pings; !(f <= w.worst) {
			w.worst = f
		}
	}
}

// lately is the losses of the last minute, or of the last 32 pings of a slow feed.
func (w *echoWatch) lately(t float64) (lost, pings float64) {
	for _, s := range w.ring {
		if t-s.start <= 60 {
			lost += s.lost
			pings += s.pings
		}
	}
	if n := float64(len(w.recent)); pings < n && w.pings >= n {
		lost, pings = 0, n
		for _, l := range w.recent {
			if l {
				lost++
			}
		}
	}
	return lost, pings
}

func (w *echoWatch) block(b *block) { w.repeat.add(b, w.d.step.size()) }

// wordFor grades a share; the way back has a lower limit, so that it does not flicker.
func (w *echoWatch) wordFor(lost, pings float64) string {
	if pings < 20 {
		return ""
	}
	f := lost / pings
	low, _ := wilson(lost, pings)
	some := w.some
	nearly := low > w.nearly // a minute of chance must not make most into nearly all
	if w.h.cur == 2 {
		nearly = f > 0.9*w.nearly
	}
	if w.h.cur >= 1 {
		some *= 0.6
	}
	switch {
	case nearly:
		return "nearly-all"
	case low > some, w.h.cur >= 1 && f > some:
		return "some" // proven by these pings: chance loses six in a minute of a sound sensor now and then
	}
	return "few"
}

func (w *echoWatch) beat(t float64) {
	lost, pings := w.lately(t)
	word := w.wordFor(lost, pings)
	if word == "few" && w.pings > 4*pings {
		if low, _ := wilson(w.lost, w.pings); low > w.some && lost > 0 {
			word = "some" // too few to be sure in a minute, sure by now
		}
	}
	w.h.seeFrom(t, t-math.Min(10, t-w.from), word)
	w.where.beat(t, lost, pings)
}

func (w *echoWatch) finding(now float64) Finding {
	f := Finding{Check: w.id, Evidence: w.d.span(w.from, now), Source: w.source,
		Limit: fmt.Sprintf("at most %s of pings lost", percent(w.some))}
	share, low, high := math.NaN(), math.NaN(), math.NaN()
	hidden := w.lost == 0 && w.repeat.hides()
	if w.pings > 0 && !hidden {
		share = w.lost / w.pings
		low, high = wilson(w.lost, w.pings)
	}
	longest := w.longest
	if w.losing {
		longest = math.Max(longest, now-w.lostFrom)
	}
	worst := w.worst
	if w.hour.pings >= 20 && !(w.hour.lost/w.hour.pings <= worst) {
		worst = w.hour.lost / w.hour.pings
	}
	if hidden {
		longest, worst = math.NaN(), math.NaN()
	}
	f.Figures = []Figure{{"dropout_fraction", share, "%"}, {"dropout_low", low, "%"}, {"dropout_high", high, "%"},
		{"longest_dropout_s", orUntimed(w.d, longest), "s"}, {"worst_hour_fraction", orUntimed(w.d, worst), "%"}}
	f.Why = fmt.Sprintf("%.0f of %.0f pings lost (%s, 95 %% interval %s to %s)", w.lost, w.pings, percent(share), percent(low), percent(high))
	switch {
	case w.pings == 0:
		f.Why, f.Missing = "the feed has neither distances nor reports of lost echoes", "a feed with the distance"
	case hidden:
		f.Why = fmt.Sprintf("no lost echo reported, but %.0f of %.0f readings repeat the one before to the last digit", w.repeat.same, w.repeat.judged)
		f.Missing = "to know whether this firmware repeats the last value when an echo is lost: hold a board askew under the sensor and watch"
	case w.pings < 20:
		f.Missing = "at least 20 pings"
	default:
		w.grades(&f, now)
	}
	return f
}

func (w *echoWatch) grades(f *Finding, now float64) {
	least := w.wordFor(w.lost, w.pings)
	if w.h.cur < 0 || !w.whole {
		least = ""
	}
	word := w.h.word(w.whole, least)
	if word == "" {
		word = "few"
		if w.h.cand >= 0 {
			word = "" // worse, but not for long enough
		}
	}
	f.Verdict = w.h.verdict(word)
	f.Grades = w.h.grade(&w.setup, word, now)
	if when := w.where.word(w.lost, w.pings, w.d, now-w.from); when != "" {
		f.Grades = append(f.Grades, Grade{"when", when, w.d.at(w.from), duration(now - w.from)})
	}
	f.Episodes = w.h.list(&w.setup, now)
	f.Missing = missingIf(word == "", "a minute of feed")
	w.day.tell(f, "lost")
}

// repeatWatch asks whether readings repeat to the last digit more often than their noise allows: a
// firmware that repeats the last value hides its lost echoes.
type repeatWatch struct {
	n, moved       float64
	judged         float64 // readings of stretches noisy enough to judge
	same, expected float64 // repeats among those
}

// add compares a block's repeats with those to be expected: of two readings with spread s, shown in
// steps of d, a share d/(2 sqrt(pi) s) is equal, and the mean change is 2 s/sqrt(pi). It judges only
// where the noise is well above the step: a calm coarse display repeats itself all day.
func (r *repeatWatch) add(b *block, step float64) {
	r.n += float64(b.n)
	r.moved += float64(b.n - 1 - b.same)
	if b.n < minBlock || b.change <= 2.5*step {
		return
	}
	spread := b.change * math.Sqrt(math.Pi) / 2
	r.judged += float64(b.n)
	r.same += float64(b.same)
	r.expected += float64(b.n) * step / (2 * math.Sqrt(math.Pi) * spread)
}

func (r *repeatWatch) hides() bool {
	if r.n >= 50 && r.moved == 0 {
		return true // nothing ever moved: a calm display and a frozen one look the same
	}
	return r.judged >= 50 && r.same >= 5 && r.same > 1.4*r.expected+0.01*r.judged
}
