package diagnostics

import (
	"fmt"
	"math"
	"strings"

	"example.org/tankhand/livelevel"
)

// obeysSettings asks whether the controller calls and drops the pump as its own marks say.
var obeysSettings = &kind{
	id: "obeys-settings", make: func(s setup) observer { return newObeyWatch(s) },
	window:  1800e9,
	aspects: []Aspect{{"mode", []string{"auto", "manual"}}, {"obeys", []string{"as-set", "starts-wrong", "stops-wrong"}}},
}

type obeyWatch struct {
	passive
	h                 *holder
	mode              string
	told              bool // the feed tells the mode; the sheet only says how it was left
	modeAt            float64
	recent            [3]float64 // distances, for their median
	n                 int
	starts, stops     int
	startsOut         int
	stopsOut          int
	outFrom           float64 // of the first start or stop outside
	kept              [2]int  // stops and starts outside after which it stayed off or on for a minute
	outAt             float64 // of the last start or stop, where it was outside; else NaN
	late, over        waiting
	overrun, idle     float64 // s, the longest on above full and the longest off below the start mark
	dryBest, dryAt    float64
	dry               float64
	running           bool
	restart, offSince float64
	blind             blindRun
	day               dayCounts // of starts and stops outside
	judged            float64   // s in which a mark spoke and the pump obeyed
	was               float64
	known             bool
	source            string
}

// waiting is a condition that should not last.
type waiting struct {
	on   bool
	from float64
}

func (w *waiting) see(t float64, on bool) {
	if on && !w.on {
		w.from = t
	}
	w.on = on
}

func newObeyWatch(s setup) *obeyWatch {
	w := &obeyWatch{passive: passive{s}, restart: math.Inf(-1), offSince: s.from, outAt: math.NaN(), mode: s.sheet.Controller.Control, modeAt: s.from, source: practice}
	w.h = newHolder(s.aspects[1], 15, "starts-wrong", "stops-wrong")
	w.h.figure = func() []Figure {
		return []Figure{{"starts_outside", float64(w.startsOut), "1"}, {"stops_outside", float64(w.stopsOut), "1"}, {"overrun_s", w.overrun, "s"}}
	}
	return w
}

func (w *obeyWatch) sample(s *item) {
	switch {
	case s.r.Kind == livelevel.Restart:
		w.restart = s.t
		w.running = false
		return
	case s.r.Kind != livelevel.Report:
		return
	}
	w.modes(s)
	w.blind.add(s, w.d)
	if s.first {
		w.late.on, w.over.on, w.running, w.n, w.outAt = false, false, false, 0, math.NaN()
		w.offSince = s.t
	}
	if s.pump < 0 {
		return
	}
	w.known = true
	w.day.add(s.slot, 0, 1)
	if s.edge != 0 {
		w.switched(s)
	}
	if s.seen {
		w.recent[w.n%len(w.recent)] = s.own
		w.n++
	}
	if w.n >= len(w.recent) {
		w.stand(s)
	}
	w.was = s.t
}

func (w *obeyWatch) block(b *block) { w.blind.lively.block(b, w.d.step.size()) }

// blindRun is a run of the pump under a reading that stands still to the last digit, where it used to
// scatter: what the pump brought meanwhile stands in the tank, and not in the reading.
type blindRun struct {
	lively liveliness
	was    float64
	same   int
	at     float64
	risen  float64 // m that a well pump has lifted the water since the reading last changed
}

func (r *blindRun) add(s *item, d *digest) {
	if s.first || s.pump != 1 || s.seen && s.u != r.was {
		r.same, r.risen = 0, 0
	}
	if dt := s.t - r.at; s.seen && s.pump == 1 && dt < 60 {
		if r.same++; r.same >= 30 && r.lively.share(1) >= 0.5 || r.same >= 60 && r.lively.moved() {
			r.risen += d.healthyRise(s.u) * dt
		}
	}
	if s.seen {
		r.was = s.u
	}
	r.at = s.t
}

func (w *obeyWatch) modes(s *item) {
	on, sent := s.r.On(livelevel.Mode)
	if !sent {
		return
	}
	w.told = true
	mode := "manual"
	if on {
		mode = "auto"
	}
	if mode != w.mode {
		w.mode, w.modeAt = mode, s.t
		w.late.on, w.over.on = false, false
	}
}

// tolerance allows for the reading's scatter, settings in whole percent and the motion while the
// controller confirms.
func (w *obeyWatch) tolerance() float64 {
	m := &w.d.marks
	t := w.d.margin() + 0.01
	if m.known() {
		t += 0.005 * (m.empty - m.full)
	}
	return t
}

// confirm is the time that the controller may take to make up its mind.
func (w *obeyWatch) confirm() float64 {
	return 10 + (w.sheet.Controller.Confirm.Or(3)+2)*w.d.period
}

func (w *obeyWatch) level() float64 {
	a, b, c := w.recent[0], w.recent[1], w.recent[2]
	return max(min(a, b), min(max(a, b), c))
}

// switched judges one start or stop by the level before it; in manual, and as the board comes up,
// it may switch as it likes.
func (w *obeyWatch) switched(s *item) {
	if s.t-w.outAt >= 60 { // shorter is chatter: relay-switching says it better
		w.kept[max(0, -s.edge)]++
	}
	w.outAt = math.NaN()
	if s.edge < 0 {
		w.offSince = s.t
	}
	if w.mode == "manual" || s.t-w.restart < 30 || w.n < len(w.recent) {
		return
	}
	u, start, stop := w.level(), w.d.marks.start(), w.d.marks.stopAt()
	out := false
	switch {
	case s.edge > 0 && !math.IsNaN(start):
		w.starts++
		if out = u < start-w.tolerance(); out {
			w.startsOut++
		}
	case s.edge < 0 && !math.IsNaN(stop):
		w.stops++
		if out = u > stop+w.tolerance(); out {
			w.stopsOut++
		}
	}
	if out {
		w.outAt = s.t
		w.day.add(s.slot, 1, 0)
		if w.startsOut+w.stopsOut == 1 {
			w.outFrom = s.t
		}
	}
}

// stand judges the present state: off though the tank is low, on though it is full, on without rise.
func (w *obeyWatch) stand(s *item) {
	u, m, tol := w.level(), &w.d.marks, w.tolerance()
	auto := w.mode != "manual"
	w.late.see(s.t, auto && s.pump == 0 && u > m.start()+tol)
	w.over.see(s.t, auto && s.pump == 1 && (u < m.stopAt()-tol || u-w.blind.risen < m.stopAt()-tol))
	if w.over.on {
		w.overrun = math.Max(w.overrun, s.t-w.over.from)
	}
	if w.late.on {
		w.idle = math.Max(w.idle, s.t-w.late.from)
	}
	if auto && !w.late.on && !w.over.on && !math.IsNaN(m.start()+m.stopAt()) {
		w.judged += math.Max(0, math.Min(s.t-w.was, 60))
	}
	if s.pump != 1 {
		w.running = false
		return
	}
	least := math.Max(0.005, 2*w.d.step.size())
	if !w.running || u < w.dryBest-least {
		w.running, w.dryBest, w.dryAt = true, u, s.t
	}
	w.dry = math.Max(w.dry, s.t-w.dryAt)
}

// patience is how long the pump may stay off below the start mark.
func (w *obeyWatch) patience(t float64) float64 {
	c := &w.sheet.Controller
	wait := w.confirm()
	wait = math.Max(wait, c.MinOff.Or(60)+w.offSince-w.late.from)
	if delay := c.RestartDelay.Or(60); t-w.restart < delay+wait {
		// The delay counts anew from each restart: a board that restarts over and over does not disobey.
		wait = math.Max(wait, delay+w.confirm()+w.restart-w.late.from)
	}
	return wait + 20
}

func (w *obeyWatch) beat(t float64) {
	word, from := w.word(t)
	w.h.seeFrom(t, from, word)
}

func (w *obeyWatch) word(t float64) (string, float64) {
	switch {
	case w.mode == "manual" || !w.known:
		return "", t
	case w.over.on && t-w.over.from > w.confirm()+w.sheet.Controller.MinOn.Or(0)+trialRun:
		return "stops-wrong", w.over.from
	case w.late.on && t-w.late.from > w.patience(t):
		return "starts-wrong", w.late.from
	case w.kept[0] >= 3 && 2*w.kept[0] > w.stops:
		return "starts-wrong", w.outFrom // dropped early: kept off though the tank is not full
	case w.kept[1] >= 3 && 2*w.kept[1] > w.starts:
		return "stops-wrong", w.outFrom // called early: kept on though the tank is not low
	case w.anywhere():
		return "", t
	case w.judged >= 30:
		return "as-set", t
	}
	return "", t
}

// trialRun is how long somebody may let the pump run on over full by hand to see it run, s.
const trialRun = 60

// anywhere tells that it mostly starts or stops away from its marks, however short it then stays so.
func (w *obeyWatch) anywhere() bool {
	return w.startsOut >= 5 && 2*w.startsOut > w.starts || w.stopsOut >= 5 && 2*w.stopsOut > w.stops
}

// story names what happened; of what did not happen only the starts and stops that were judged.
func (w *obeyWatch) story() string {
	parts := []string{"no start or stop in this stretch"}
	switch {
	case w.mode == "manual":
		parts[0] = "the controller stands in manual, where no mark binds it"
	case w.starts+w.stops > 0:
		parts[0] = fmt.Sprintf("%d of %d starts and %d of %d stops away from their mark", w.startsOut, w.starts, w.stopsOut, w.stops)
	}
	for _, p := range []struct {
		s    float64
		what string
	}{{w.idle, "off though the water is below the start mark"}, {w.overrun, "on above full"}, {w.dry, "on without rise"}} {
		if p.s >= 30 {
			parts = append(parts, p.what+" for "+w.d.lasting(p.s))
		}
	}
	return strings.Join(parts, ", ")
}

func (w *obeyWatch) finding(now float64) Finding {
	f := Finding{Check: w.id, Source: w.source, Evidence: w.d.span(w.from, now),
		Figures: []Figure{{"starts_outside", float64(w.startsOut), "1"}, {"stops_outside", float64(w.stopsOut), "1"},
			{"overrun_s", orUntimed(w.d, w.overrun), "s"}, {"dry_s", orUntimed(w.d, w.dry), "s"}},
		Limit: fmt.Sprintf("starts at %s and stops at %s from the face, give or take %s", inLength(w.d.marks.start()),
			inLength(w.d.marks.stopAt()), inLength(w.tolerance())),
		Why: w.story()}
	if w.told {
		f.Grades = append(f.Grades, Grade{"mode", w.mode, w.d.at(w.modeAt), duration(now - w.modeAt)})
	}
	word := w.h.word(w.whole, "")
	if w.anywhere() && !w.h.isBad(word) {
		word = ""
	}
	f.Grades = append(f.Grades, w.h.grade(&w.setup, word, now)...)
	f.Verdict, f.Episodes = w.h.verdict(word), w.h.list(&w.setup, now)
	if !w.known {
		for i := range f.Figures {
			f.Figures[i].Value = math.NaN()
		}
	}
	switch {
	case word != "":
	case w.anywhere():
		f.Verdict = Fail
		f.Episodes = []Episode{{Span: w.d.span(w.outFrom, now), Figures: f.Figures}}
	case !w.known:
		f.Why, f.Missing = "the feed does not say what the relay does", "a pump or relay column in the feed"
	case w.mode == "manual":
		f.Missing = "the controller in auto"
	default:
		f.Missing = "marks with low_set in the site sheet, and half a minute of feed"
	}
	if f.Verdict == Fail {
		w.day.tell(&f, "away from their mark")
	}
	return f
}
