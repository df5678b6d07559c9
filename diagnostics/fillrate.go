package diagnostics

import (
	"fmt"
	"math"
)

// fillRate judges what the pump brings, run by run.
var fillRate = &kind{
	id: "fill-rate", make: func(s setup) observer { return newFillWatch(s) },
	window: 1800e9, ownHeld: true,
	aspects: []Aspect{{"rise", []string{"falls", "none", "slow", "as-expected"}}, {"course", []string{"same", "fades", "none-from-start"}},
		{"runs", []string{"alike", "weaker"}}},
}

type fillWatch struct {
	passive
	rise, course *holder
	s            surface
	on           bool
	pump         bool
	run          runState
	runs         [32]fillRun
	n            int
	done         pieces  // of the runs before this one
	parts        pieces  // of all runs, in parts
	part         surface // the part that goes on
	slowRuns     slowRuns
	onTime       float64 // pump-on time of the runs before this one
	healthy      float64 // m3/s, NaN unknown
	none, slow   float64 // shares of healthy
	source       string
	trend        runTrend
}

// runState is the run that goes on.
type runState struct {
	from, last float64
	startU     float64
	haveU      bool
	full       bool // the water stands at the top: no rise is to be expected
	was        float64
	same       int // readings since it last changed
	top        int // readings in a row at the top; from the third on the run is over as to its rise
	parts      int // that are over
}

// slowRuns counts the runs that brought too little, as far as draw-off can be told from a weak pump: a pump that
// brought its flow in a later run was not weak in this one.
type slowRuns struct {
	good, row int  // runs as they should be; slow ones in a row since the last of those
	even      bool // the last run rose evenly: taps come and go
}

func (r *slowRuns) sure() bool { return r.row >= 2 || r.row == 1 && r.good == 0 && r.even }

// slowDue is how many times the least rise must be due before a rise is called slow: a missing rise shows
// sooner than one that is a quarter short.
const slowDue = 4

// slowSpan is how long a run must have been slow, s: longer than a tap is open.
const slowSpan = 420

// fillRun is a run that ended.
type fillRun struct {
	from, to, onBefore float64
	startU, stopU      float64
	fit                slopeFit // of the amount, draw-off not yet added
	area               float64
}

func newFillWatch(s setup) *fillWatch {
	w := &fillWatch{passive: passive{s}, healthy: s.sheet.Pump.HealthyFlow.Or(math.NaN())}
	w.s.d, w.part.d = s.d, s.d
	w.rise = newHolder(s.aspects[0], 20, "falls", "none", "slow")
	w.rise.worst = []int{3, 2, 1, 0}
	w.course = newHolder(s.aspects[1], 20, "fades", "none-from-start")
	w.course.hold[1] = 45
	w.rise.figure = func() []Figure {
		return []Figure{{"fill_m3_per_h", w.s.flow(slopeFit{mid: w.netNow() + w.drawn()}).mid, "m3/h"}}
	}
	w.rise.clock, w.course.clock = w.feedTime, w.feedTime
	w.none, _ = limit(s.sheet, "fill-rate.none", 0.1)
	w.slow, w.source = limit(s.sheet, "fill-rate.slow", 0.75)
	w.trend.least, _ = limit(s.sheet, "fill-rate.weaker", 0.2)
	return w
}

// feedTime turns pump-on time into feed time.
func (w *fillWatch) feedTime(on float64) float64 {
	if w.on && on >= w.onTime {
		return w.run.from + on - w.onTime
	}
	for i := w.n - 1; i >= max(0, w.n-len(w.runs)); i-- {
		if r := &w.runs[i%len(w.runs)]; on >= r.onBefore || i == max(0, w.n-len(w.runs)) {
			return r.from + math.Max(0, on-r.onBefore)
		}
	}
	return w.from
}

func (w *fillWatch) sample(s *item) {
	w.pump = w.pump || s.pump >= 0
	if w.on && (s.pump != 1 || s.first) {
		w.end()
	}
	if s.pump != 1 {
		return
	}
	if !w.on {
		w.on, w.run = true, runState{from: s.t}
	}
	w.run.last = s.t
	if !s.seen {
		return
	}
	if !w.run.haveU {
		w.run.startU, w.run.haveU = s.u, true
	}
	if w.run.same++; s.u != w.run.was {
		w.run.was, w.run.same = s.u, 0
	}
	if w.run.top++; !w.run.full && !w.atTop(s.u) {
		w.run.top = 0
	}
	if w.run.full = w.run.top >= 3; w.run.top == 0 && s.t-w.run.from >= 3 {
		w.s.put(s.t, s.u)
		w.partPut(s)
	}
}

// atTop tells whether the water cannot rise, or cannot be seen to: at the overflow, inside the
// blanking distance.
func (w *fillWatch) atTop(u float64) bool {
	over := w.sheet.Tank.Overflow
	if h := w.d.height(u); over.Known() && h > over.V-0.03 {
		return true
	}
	return u <= w.sheet.Sensor.Blanking.Or(0)+0.03
}

func (w *fillWatch) end() {
	r := fillRun{from: w.run.from, to: w.run.last, onBefore: w.onTime, startU: math.NaN(), stopU: math.NaN(),
		fit: w.runFit(), area: w.s.area()}
	if w.run.haveU {
		r.startU, r.stopU = w.run.startU, w.s.lastU
	}
	w.runs[w.n%len(w.runs)] = r
	w.trend.add(&r, w.s.trail.span())
	w.n++
	if w.s.trail.span() >= 10 {
		w.done.add(r.fit, w.s.trail.span())
	}
	w.partEnd()
	w.judgeRun()
	w.onTime += w.run.last - w.run.from
	w.on = false
	w.s.clear()
}

func (w *fillWatch) beat(t float64) {
	if !w.on || w.run.full || !w.s.trail.ripe(t) {
		return
	}
	on := w.onTime + w.run.last - w.run.from
	word := w.riseWord()
	w.rise.seeFrom(on, w.onTime, word)
	if word == "" && w.comesUp() { // how fast cannot be told yet, but it is no longer none
		w.rise.drop("none", "falls")
		w.course.drop("none-from-start")
	}
	switch course := w.courseWord(word); course {
	case "none-from-start":
		w.course.seeFrom(on, w.onTime, course)
	default:
		w.course.see(on, course)
	}
}

// comesUp tells whether the water rises, however slowly.
func (w *fillWatch) comesUp() bool {
	fit, span := w.lately()
	return fit.low > 0 && fit.mid/w.s.area()*span > w.least()
}

// drawKnown tells whether the draw-off was ever measured.
func (w *fillWatch) drawKnown() bool { return !math.IsNaN(w.d.draw.slope().mid) }

// least is the rise that must be due before a missing one means anything.
func (w *fillWatch) least() float64 {
	least := math.Max(0.008, 4*w.d.step.size())
	if !math.IsNaN(w.d.spread) {
		least = math.Max(least, 3*w.d.spread)
	}
	return least
}

// riseWord judges the present run.
func (w *fillWatch) riseWord() string {
	area := w.s.area()
	fit, span := w.lately()
	if math.IsNaN(fit.mid) || span < 10 || math.IsNaN(area) || w.frozen() {
		return ""
	}
	if fit.high < 0 && -fit.mid/area*span > w.least() && span > 20 {
		return "falls"
	}
	if math.IsNaN(w.healthy) || !w.s.shaped() {
		return w.riseAlone(fit, area, span)
	}
	if w.healthy/area*span < w.least() {
		return ""
	}
	q := w.drawn()
	best := w.runFit()
	switch {
	case (fit.mid+q)/w.healthy < w.none && (fit.high+q+w.d.draw.extra(span/tapTime))/w.healthy < 0.5:
		return "none"
	case (best.mid+q)/w.healthy < w.slow && (best.high+q+w.d.draw.extra(1))/w.healthy < 0.95:
		if run := w.s.trail.span(); !w.drawKnown() || run < slowSpan || w.healthy/area*run < slowDue*w.least() {
			return "" // somebody may be drawing the rest; the stream may still be building up
		}
		next := w.afterThis("slow")
		if !next.sure() || next.row == 1 && (best.high+q+2*w.d.draw.extra(1))/w.healthy > 0.95 {
			return "" // one run alone: a tap open all its time, and wider than most, would look the same
		}
		return "slow"
	}
	return "as-expected"
}

// frozen tells that the reading stood still to the last digit: of a fine display that says nothing of
// the pump. Whole centimetres may stand still on calm water.
func (w *fillWatch) frozen() bool {
	step := w.d.step.size()
	return w.run.same > 20 && (step == 0 || step < 0.005)
}

// dripping is a rise, in m/s, at which no pump fills a tank: two days for a metre.
const dripping = 0.4e-3 / 60

// riseAlone judges without a healthy flow: against this pump's own earlier runs, or, where a tank
// would take days, as no rise at all. It never says slow.
func (w *fillWatch) riseAlone(fit slopeFit, area, span float64) string {
	if before := w.done.with(slopeFit{mid: math.NaN()}, 0); w.done.n >= 2 && before.low > 0 && before.mid/area*span > w.least() {
		switch {
		case fit.high < 0.3*before.mid && fit.mid < w.none*before.mid:
			return "none"
		case fit.mid > w.slow*before.mid:
			return "as-expected"
		}
		return ""
	}
	if span >= 300 && fit.high/area < dripping && fit.high/area*span < w.least() {
		return "none"
	}
	return ""
}

func (w *fillWatch) finding(now float64) Finding {
	fit, q, may := w.allFit(), w.drawn(), w.d.draw.extra(1)
	gross := slopeFit{fit.mid + q, fit.low + q - may, fit.high + q + may}
	flow := w.s.flow(gross)
	part := slopeFit{math.NaN(), math.NaN(), math.NaN()}
	if w.s.shaped() {
		part = slopeFit{gross.mid / w.healthy, gross.low / w.healthy, gross.high / w.healthy}
	}
	f := Finding{Check: w.id, Source: w.source, Evidence: w.d.span(w.from, now),
		Limit: w.limitText(),
		Figures: []Figure{{"fill_m3_per_h", flow.mid, "m3/h"}, {"fill_low", flow.low, "m3/h"}, {"fill_high", flow.high, "m3/h"},
			{"of_healthy", part.mid, "%"}, {"of_healthy_low", part.low, "%"}, {"of_healthy_high", part.high, "%"}}}
	rise, course := w.rise.word(w.whole, w.late(gross)), w.course.word(w.whole, "")
	at := w.onTime
	if w.on {
		at += w.run.last - w.run.from
	}
	grade := w.rise.grade(&w.setup, rise, at)
	if rise == "slow" && w.late(gross) == rise {
		grade[0].Held = max(grade[0].Held, duration(at)) // known only afterwards, but of all these runs
	}
	f.Grades = append(grade, w.course.grade(&w.setup, course, at)...)
	f.Verdict = max(w.rise.verdict(rise), w.course.verdict(course))
	if f.Verdict == Fail {
		f.Episodes = w.rise.list(&w.setup, now)
	}
	f.Runs = w.list(q)
	f.Why = fmt.Sprintf("%s, the pump brings %s m3/h (95 %% interval %s to %s, draw-off of %s m3/h added)",
		counted(w.n+btoi(w.on), "run", "runs"), number(flow.mid), number(flow.low), number(flow.high), number(w.s.flow(slopeFit{mid: q}).mid))
	w.missing(&f, rise)
	w.tellRuns(&f, now)
	return f
}

// late judges runs that were over before the draw-off was known.
func (w *fillWatch) late(gross slopeFit) string {
	if w.healthy/w.s.area()*w.onTime < slowDue*w.least() || !w.slowRuns.sure() {
		return ""
	}
	if w.drawKnown() && w.s.shaped() && gross.mid >= w.none*w.healthy && gross.mid < w.slow*w.healthy && gross.high < 0.95*w.healthy {
		return "slow"
	}
	return ""
}

func (w *fillWatch) limitText() string {
	if math.IsNaN(w.healthy) {
		return "a rise while the pump runs"
	}
	return fmt.Sprintf("at least %s of the healthy flow of %.3g m3/h", percent(w.slow), w.healthy*perHour)
}

func (w *fillWatch) missing(f *Finding, rise string) {
	switch {
	case !w.pump:
		f.Why, f.Missing = "the feed does not say what the relay does", "a pump or relay column in the feed"
	case w.n == 0 && !w.on:
		f.Why, f.Missing = "the pump did not run", "a run of the pump"
	case rise == "" && math.IsNaN(w.healthy):
		f.Missing = "pump.healthy_flow in the site sheet: what this pump brought when it was well"
	case rise == "" && !w.s.shaped():
		f.Missing = "the tank's shape and sensor.face_height in the site sheet"
	case rise == "" && !w.drawKnown():
		f.Missing = "a minute with the pump off, so that the draw-off is known"
	case rise == "":
		f.Missing = fmt.Sprintf("a run long enough for a rise of %s", inLength(w.least()))
	}
	if !w.s.shaped() && f.Missing == "" {
		f.Why = fmt.Sprintf("%s; the tank's shape would make the rise a flow", counted(w.n+btoi(w.on), "run", "runs"))
	}
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// list makes the runs of the finding, newest last.
func (w *fillWatch) list(q float64) []Run {
	var out []Run
	may := w.d.draw.extra(1)
	for i := max(0, w.n-len(w.runs)); i < w.n; i++ {
		r := w.runs[i%len(w.runs)]
		fl := w.s.flow(slopeFit{r.fit.mid + q, r.fit.low + q - may, r.fit.high + q + may})
		out = append(out, Run{w.d.span(r.from, r.to), r.startU, r.stopU, fl.mid, fl.low, fl.high})
	}
	return out
}
