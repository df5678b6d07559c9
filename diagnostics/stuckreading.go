package diagnostics

import (
	"fmt"
	"math"
)

// stuckReading asks whether the reading follows the water.
var stuckReading = &kind{
	id: "stuck-reading", make: func(s setup) observer { return newStuckWatch(s) },
	window: 1800e9, ownHeld: true,
	aspects: []Aspect{{"motion", []string{"follows", "frozen-near", "frozen-elsewhere"}}},
}

type stuckWatch struct {
	passive
	h        *holder
	have     bool
	was      float64 // the last distance
	since    float64 // since when it is the same to the last digit
	readings int     // of that stretch
	longest  float64
	near     float64 // reading about which it stays within half a centimetre
	nearAt   float64
	due      float64 // m that the water should have moved since it last did
	dueNear  float64
	moving   float64 // clock of the holder: s in which the reading should move
	last     float64
	anchor   float64 // feed time minus moving
	lively   liveliness
	before   float64 // s, the longest such stretch that ended
	changes  int     // of the reading
	moved    float64 // time of the last motion beyond half a centimetre or two steps
	source   string
	least    float64
}

func newStuckWatch(s setup) *stuckWatch {
	w := &stuckWatch{passive: passive{s}, last: s.from}
	w.h = newHolder(s.aspects[0], 20, "frozen-near", "frozen-elsewhere")
	w.h.clock = func(t float64) float64 { return t + w.anchor }
	w.h.figure = func() []Figure { return []Figure{{"longest_same_s", w.longest, "s"}} }
	w.least, w.source = limit(s.sheet, "stuck-reading.due", 0.03)
	return w
}

func (w *stuckWatch) sample(s *item) {
	if s.first {
		w.have = false
	}
	dt := s.t - w.last
	w.last = s.t
	if !s.seen {
		return
	}
	w.expect(s, dt)
	step := w.d.step.size()
	if !w.have || math.Abs(s.u-w.near) > math.Max(0.005, 1.5*step) {
		if w.have {
			w.moved = s.t
		}
		w.near, w.nearAt, w.dueNear = s.u, s.t, 0
	}
	if !w.have || s.u != w.was {
		if w.have {
			w.before = math.Max(w.before, s.t-w.since)
			w.changes++
		}
		w.since, w.readings, w.due = s.t, 0, 0
	}
	w.have, w.was = true, s.u
	w.readings++
	w.longest = math.Max(w.longest, s.t-w.since)
}

// expect adds up how far the water should have moved, and the time in which it should.
func (w *stuckWatch) expect(s *item, dt float64) {
	w.anchor += dt
	if s.pump == 1 && dt < 60 {
		if rise := w.d.healthyRise(s.u); rise > 0 {
			w.due += rise * dt
			w.dueNear += rise * dt
		}
	}
	if s.pump == 1 || w.lively.was() || w.overdue(s.t) {
		w.moving += dt
		w.anchor -= dt
	}
}

func (w *stuckWatch) block(b *block) { w.lively.block(b, w.d.step.size()) }

func (w *stuckWatch) beat(t float64) {
	word, back := w.word(t)
	w.h.seeFrom(w.moving, math.Max(0, w.moving-back), word)
}

// word is judged against the motion and the noise that are due; back is how much of the clock the
// evidence reaches back.
func (w *stuckWatch) word(t float64) (word string, back float64) {
	if !w.have {
		return "", 0
	}
	place := "frozen-elsewhere"
	close := w.was <= w.sheet.Sensor.Blanking.Or(0.2)+0.1
	if close {
		place = "frozen-near"
	}
	step := w.d.step.size()
	due := math.Max(w.least, 3*step)
	switch same := t - w.since; {
	case same >= 30 && w.readings >= 30 && w.lively.was(), w.overdue(t):
		return place, same
	case w.due >= due && w.readings >= 10 && (step > 0 && step < 0.005 || w.fine()):
		return place, same
	case close && w.dueNear >= due:
		return place, t - w.nearAt
	}
	if w.moved > 0 && t-w.moved < 600 || w.lively.was() {
		return "follows", 0
	}
	return "", 0
}

// overdue tells that a fine reading has been the same to the last digit for hours, and twenty times as long as ever
// before: the air alone, by a kelvin more or less, moves an echo from half a metre by a millimetre. Whole
// centimetres may stand still over calm water.
func (w *stuckWatch) overdue(t float64) bool {
	same, step := t-w.since, w.d.step.size()
	return w.have && w.d.timed && step < 0.005 && w.changes >= 200 && w.readings >= 1000 && same >= stillLong && same >= 20*w.before
}

const stillLong = 2 * 3600 // s (judgement, no source)

// fine tells that the reading is given finer than whole centimetres, as far as one value can tell.
func (w *stuckWatch) fine() bool {
	cm := w.was * 100
	return math.Abs(cm-math.Round(cm)) > 0.01
}

func (w *stuckWatch) finding(now float64) Finding {
	word := w.h.word(w.whole, "")
	longest := w.longest
	if !w.have && longest == 0 {
		longest = math.NaN()
	}
	return Finding{
		Check: w.id, Verdict: w.h.verdict(word), Grades: w.h.grade(&w.setup, word, w.moving),
		Figures: []Figure{{"longest_same_s", orUntimed(w.d, longest), "s"}},
		Limit:   fmt.Sprintf("the reading moves when the water should by %s, or as its noise did before", inLength(w.least)),
		Why:     fmt.Sprintf("the longest stretch with one and the same reading was %s, the display's step is %s", w.d.lasting(longest), inLength(w.d.step.size())),
		Source:  w.source, Evidence: w.d.span(w.from, now), Episodes: w.h.list(&w.setup, now),
		Missing: missingIf(word == "", "a run of the pump with pump.healthy_flow and the tank in the site sheet, or a reading that moves"),
	}
}
