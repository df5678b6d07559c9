package diagnostics

import (
	"fmt"
	"math"
	"strings"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/signal"
)

// restartsCheck counts restarts of the board and asks whether they come with the relay.
var restartsCheck = &kind{
	id: "restarts", make: func(s setup) observer { return newRestartWatch(s) },
	window: 1800e9,
	aspects: []Aspect{{"when", []string{"none", "relay-pulls-in", "relay-drops-out", "other-times", "as-we-opened"}},
		{"cause", []string{"not-given", "power", "program", "port"}}},
}

type restartWatch struct {
	passive
	h         *holder
	n, ours   int
	on, off   int            // after the pump went on, off
	due       int            // with the pump off though the water stood past its start, from the second restart on
	dueAfter  signal.Moments // s from the restart before to those
	times     timeRing
	day       dayCounts
	causes    [4]int
	reports   int     // since the last restart
	all       int     // reports in all
	lastAt    float64 // of the last restart
	before    item    // the last report
	edgeAgo   int     // reports since the last edge, that one included
	edge      int8
	text      string // of the last restart
	causeNext bool   // the reset cause of the last restart may come with the next report
}

func newRestartWatch(s setup) *restartWatch {
	w := &restartWatch{passive: passive{s}, lastAt: math.Inf(-1)}
	w.h = newHolder(s.aspects[0], 0, "relay-pulls-in", "relay-drops-out", "other-times")
	w.h.figure = func() []Figure { return []Figure{{"restarts", float64(w.n), "1"}} }
	w.h.worst = []int{0, 4, 3, 2, 1}
	return w
}

func (w *restartWatch) sample(s *item) {
	switch s.r.Kind {
	case livelevel.Report:
		w.report(s)
	case livelevel.Restart:
		w.restart(s)
	}
}

func (w *restartWatch) report(s *item) {
	w.reports++
	w.all++
	w.day.add(s.slot, 0, 1)
	w.edgeAgo++
	if s.edge != 0 && (w.reports > 1 || w.n == 0) { // a relay that fell with the restart is no cause of the next
		w.edge, w.edgeAgo = s.edge, 1
	}
	if s.r.Has(livelevel.ResetCause) {
		w.explain(causeOf(s.r.Text))
	}
	w.causeNext = false
	pump, own := w.before.pump, w.before.own
	w.before = *s
	if s.pump < 0 {
		w.before.pump = pump
	}
	if !s.seen {
		w.before.own = own
	}
}

// restart counts once what is told several ways: boot text, then an uptime that fell back.
func (w *restartWatch) restart(s *item) {
	if w.n+w.ours > 0 && w.again(s) {
		w.explain(causeOf(s.r.Text)) // the cause often stands on the line after the greeting
		return
	}
	w.text = s.r.Text
	switch {
	case s.r.Ours:
		w.ours++
	case w.all == 0 && w.n+w.ours == 0 && s.t-w.from < 10:
		w.ours++ // the feed begins with a boot: somebody switched it on to listen
	default:
		w.count(s)
	}
	w.lastAt, w.reports, w.edge = s.t, 0, 0
}

// explain gives the last restart its cause, where it had none.
func (w *restartWatch) explain(c int) {
	if c > 0 && w.causeNext {
		w.causes[0]--
		w.causes[c]++
		w.causeNext = false
	}
}

// again tells whether this is the same boot: no report came since, and it is at once, the uptime, or
// another of the boot's lines. A loop of boots begins with the same line each time.
func (w *restartWatch) again(s *item) bool {
	if w.reports > 0 {
		return false
	}
	since := s.t - w.lastAt
	return since < 1.5 || strings.Contains(strings.ToLower(s.r.Text), "uptime") || since < 6 && s.r.Text != w.text
}

func (w *restartWatch) count(s *item) {
	w.n++
	w.times.add(s.t)
	w.day.add(s.slot, 1, 0)
	c := causeOf(s.r.Text)
	w.causes[c]++
	w.causeNext = c == 0
	switch w.phase() {
	case 1:
		w.on++
	case -1:
		w.off++
	case 0:
		if b := &w.before; w.n > 1 && b.seen && b.pump == 0 && b.own > w.d.marks.start() {
			w.due++
			w.dueAfter.Add(s.t - w.lastAt)
		}
	}
}

// afterOn are the restarts that came as the relay pulled in. A supply that gives way at each start lets
// the water fall on past the mark: then the restarts keep the time that the controller takes to call the
// pump. Restarts for other reasons come at any time; so one at least must have come at a start.
func (w *restartWatch) afterOn() int {
	if w.on > 0 && w.due >= 3 && w.dueAfter.SD() < 0.35*w.dueAfter.Mean() {
		return w.on + w.due
	}
	return w.on
}

// phase tells whether the restart followed the relay: it switched with one of the last two readings,
// or the last reading stood at the mark where it would.
func (w *restartWatch) phase() int8 {
	if w.edge != 0 && w.edgeAgo <= 2 {
		return w.edge
	}
	b := &w.before
	if !b.seen || b.pump < 0 {
		return 0
	}
	margin := w.d.margin()
	if at := w.d.marks.start(); b.pump == 0 && math.Abs(b.own-at) <= margin {
		return 1
	}
	if at := w.d.marks.stopAt(); b.pump == 1 && math.Abs(b.own-at) <= margin {
		return -1
	}
	return 0
}

// causeOf reads a reset cause in the words firmwares use: 1 power, 2 program, 3 port, 0 not given.
func causeOf(text string) int {
	t := strings.ToLower(text)
	for i, words := range [...][]string{
		{"brown", "power", "undervolt", "low volt", "bor", "por ", "por,", "vbat"},
		{"watchdog", "wdt", "wdog", "panic", "exception", "assert", "stack", "heap", "software", "soft reset", "sw reset", "fault"},
		{"external", "ext ", "ext_", "dtr", "usb", "reset pin", "serial"},
	} {
		for _, w := range words {
			if strings.Contains(t, w) {
				return i + 1
			}
		}
	}
	return 0
}

func (w *restartWatch) beat(t float64) {
	if w.all > 0 || w.n > 0 {
		w.h.seeFrom(t, w.began(t), w.word(t))
	}
}

// began is when the evidence for restarts began.
func (w *restartWatch) began(t float64) float64 {
	if w.n == 0 {
		return t
	}
	return w.times.at(max(0, w.n-len(w.times.t)))
}

func (w *restartWatch) word(t float64) string {
	switch {
	case w.n == 0 && w.ours > 0:
		return "as-we-opened"
	case w.n == 0:
		return "none"
	case 2*w.afterOn() > w.n && w.afterOn() >= w.off:
		return "relay-pulls-in"
	case 2*w.off > w.n:
		return "relay-drops-out"
	case w.single(t):
		return ""
	}
	return "other-times"
}

// loneAfter is how long a feed must last for a single restart in it to be no sign of a fault: somebody may have
// pulled the plug, or the mains were cut. In a shorter one it is too much of a coincidence.
const loneAfter = 600

func (w *restartWatch) single(t float64) bool {
	return w.n == 1 && w.causes[2]+w.causes[3] == 0 && w.d.timed && t-w.from > loneAfter
}

func (w *restartWatch) missing(now float64) string {
	if w.single(now) {
		return "a second restart: one in so long a feed may be a cut of the mains"
	}
	return "a feed that brings readings or boot texts"
}

func (w *restartWatch) cause() string {
	best := 0
	for i := 1; i < len(w.causes); i++ {
		if w.causes[i] > 0 && (best == 0 || w.causes[i] > w.causes[best]) {
			best = i
		}
	}
	return w.aspects[1].Words[best]
}

func (w *restartWatch) finding(now float64) Finding {
	if w.all > 0 || w.n > 0 {
		w.h.seeFrom(math.Max(w.d.s.t, w.h.seen), w.began(now), w.word(now))
	}
	word := ""
	if w.h.cur >= 0 {
		word = w.word(now)
	}
	f := Finding{
		Check: w.id, Verdict: w.h.verdict(word),
		Figures: []Figure{{"restarts", float64(w.n), "1"}, {"after_pump_on", float64(w.afterOn()), "1"},
			{"after_pump_off", float64(w.off), "1"}, {"worst_hour", orUntimed(w.d, float64(w.times.worst)), "1"}},
		Limit: "no restart but as we open the port",
		Why: fmt.Sprintf("%s: %d as the pump went on, %d as it went off, %d in the worst hour; %d as we opened the port",
			counted(w.n, "restart", "restarts"), w.afterOn(), w.off, w.times.worst, w.ours),
		Source: practice, Evidence: w.d.span(w.from, now), Episodes: w.h.list(&w.setup, now),
		Missing: missingIf(word == "", w.missing(now)),
	}
	if w.n == 0 {
		f.Why = "no restart"
		if w.ours > 0 {
			f.Why += fmt.Sprintf(" but %d as we opened the port", w.ours)
		}
	}
	w.day.tell(&f, "restarts")
	if word != "" {
		since := w.from
		if w.n > 0 {
			since = w.began(now)
		}
		f.Grades = []Grade{{"when", word, w.d.at(since), duration(now - since)}}
	}
	if w.n > 0 {
		f.Grades = append(f.Grades, Grade{"cause", w.cause(), w.d.at(w.began(now)), duration(now - w.began(now))})
	}
	return f
}
