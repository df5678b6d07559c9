package diagnostics

import (
	"fmt"
	"math"

	"example.org/tankhand/livelevel"
)

// feedHealth judges the feed itself: does it come, whole and without stops.
var feedHealth = &kind{
	id: "feed-health", make: func(s setup) observer { return newFeedWatch(s) }, window: 3600e9,
	aspects: []Aspect{{"state", []string{"clean", "damaged", "unreadable", "boot-only", "stops", "silent", "no-port", "busy", "no-right"}}},
}

type feedWatch struct {
	passive
	h                       *holder
	good, bad, boots        int
	unitless                int // of the bad: understood but for the unit of the distance
	ring                    lineRing
	line                    float64 // time of the last line of any kind
	boot                    float64 // time of the last restart
	report                  float64
	reports                 int
	longest                 float64
	gone                    bool // the port is away
	goneAt                  float64
	losses                  [5]float64 // of the port, the last ones
	lost                    int
	refused                 string
	refusedAt               float64
	gapEnd, gapLast         float64 // ends of the last two long gaps
	gapLong                 float64 // length of the longest gap of the last minutes
	gaps                    int     // that lasted a minute
	damagedLimit, gapsLimit float64
	source                  string
}

func newFeedWatch(s setup) *feedWatch {
	w := &feedWatch{passive: passive{s}, line: s.from, boot: -1e9, gapEnd: -1e9, gapLast: -1e9}
	w.h = newHolder(s.aspects[0], 10, s.aspects[0].Words[1:]...)
	for _, refusal := range []string{"no-port", "busy", "no-right"} {
		w.h.hold[w.h.index(refusal)] = 0 // the system has said so; waiting makes it no surer
	}
	var good, bad int
	w.h.opened = func() { good, bad = w.good, w.bad }
	w.h.figure = func() []Figure {
		return []Figure{{"decoded_fraction", share(float64(w.good-good), float64(w.good+w.bad-good-bad)), "%"}}
	}
	w.damagedLimit, w.source = limit(s.sheet, "feed-health.damaged", 0.03)
	w.gapsLimit, _ = limit(s.sheet, "feed-health.stops", 15)
	return w
}

func (w *feedWatch) sample(s *item) {
	switch s.r.Kind {
	case livelevel.Report:
		w.arrive(s.t)
		w.good++
		w.reports++
		w.report = s.t
		w.ring.add(s.t, true)
	case livelevel.Rejected:
		w.arrive(s.t)
		w.reject(s)
	case livelevel.Restart:
		w.arrive(s.t)
		w.boots++
		w.boot = s.t
		w.ring.boot(s.t)
	case livelevel.Lost:
		w.gone, w.goneAt = true, s.t
		w.losses[w.lost%len(w.losses)] = s.t
		w.lost++
	case livelevel.Back, livelevel.Opened:
		w.refused, w.gone = "", false
	case livelevel.Refused:
		w.refuse(s)
	}
}

// reject counts a line that did not decode; boot text and the torn first lines are none.
func (w *feedWatch) reject(s *item) {
	if s.t-w.boot < 5 || w.good == 0 && w.bad == 0 && w.boots == 0 && w.ring.torn() {
		return
	}
	w.bad++
	if s.r.Text == livelevel.UnitOpen {
		w.unitless++
	}
	w.ring.add(s.t, false)
}

// unitOpen tells that the lines are whole, and that only the site can tell what unit they are in: that is
// for us to learn, and no trouble of the board's.
func (w *feedWatch) unitOpen() bool { return w.good == 0 && 10*w.unitless >= 9*w.bad && w.unitless > 0 }

func (w *feedWatch) refuse(s *item) {
	switch s.r.Text {
	case "no-port", "busy", "no-right":
		if w.refused != s.r.Text {
			w.refused, w.refusedAt = s.r.Text, s.t
		}
	default:
		if w.refused == "" {
			w.refused, w.refusedAt = "no-port", s.t
		}
	}
}

// arrive notes the gap before a line.
func (w *feedWatch) arrive(t float64) {
	w.refused, w.gone = "", false
	if gap := t - w.line; w.good+w.bad+w.boots > 0 {
		w.longest = math.Max(w.longest, gap)
		if w.d.timed && gap > w.quiet() {
			w.gapLast, w.gapEnd = w.gapEnd, t
			if w.gapLong = gap; gap >= 60 {
				w.gaps++
			}
			if w.whole && w.lone(t) {
				w.h.forget(t, "stops") // said while it lasted; now it is over
			}
		}
	}
	w.line = t
}

// lone tells that the feed stopped but once, and for a small part of the time: a plug pulled, a laptop asleep or
// a clock that was set leave the same mark, so that it says nothing of the board.
func (w *feedWatch) lone(t float64) bool { return w.gaps < 2 && w.gapLong < (t-w.from)/4 }

// loose tells that the port was lost five times in ten minutes, however shortly: a plug that falls out.
func (w *feedWatch) loose(t float64) (from float64, is bool) {
	if w.lost < len(w.losses) {
		return 0, false
	}
	from = w.losses[w.lost%len(w.losses)]
	return from, t-from < 600
}

// quiet is the silence that counts as a stop.
func (w *feedWatch) quiet() float64 { return math.Max(10*w.d.period, w.gapsLimit) }

func (w *feedWatch) beat(t float64) {
	word, from := w.word(t)
	w.h.seeFrom(t, from, word)
}

// word is the state as of t and since when it shows.
func (w *feedWatch) word(t float64) (word string, from float64) {
	rejected, lines, boots, reports := w.ring.last(t)
	lines += rejected
	looseFrom, loose := w.loose(t)
	switch {
	case w.refused != "":
		return w.refused, w.refusedAt
	case w.good+w.bad+w.boots == 0:
		if t-w.from >= 10 {
			return "silent", w.from
		}
		return "", t
	case w.gone:
		return "stops", w.goneAt
	case t-w.line > w.quiet():
		if t-w.line > 60 && w.reports == 0 {
			return "silent", w.line
		}
		if t-w.line > 60 || w.gapEnd-w.from > 0 && t-w.gapEnd < 600 {
			return "stops", w.line
		}
		return "", t
	case t-w.gapEnd < 300 && (w.gapLong >= 60 && !w.lone(t) || w.gapEnd-w.gapLast < 600):
		return "stops", w.gapEnd - w.gapLong
	case boots > 0 && reports <= boots:
		return "boot-only", t
	case loose:
		return "stops", looseFrom
	case w.unitOpen():
		return "", t
	case rejected >= 5 && float64(rejected) >= 0.9*float64(lines):
		return "unreadable", t
	case rejected >= 4 && float64(rejected) > w.damagedLimit*float64(lines):
		return "damaged", t
	case lines >= 3:
		return "clean", t
	}
	return "", t
}

func (w *feedWatch) finding(now float64) Finding {
	if word, from := w.word(now); now > w.line+w.quiet() || w.refused != "" {
		w.h.seeFrom(now, from, word) // silence makes no beats
	}
	total := float64(w.good + w.bad)
	share, rate := math.NaN(), math.NaN()
	low, high := wilson(float64(w.good), total)
	if total > 0 {
		share = float64(w.good) / total
	}
	if w.d.timed && w.d.period > 0 {
		rate = 1 / w.d.period
	}
	longest := w.longest
	if now-w.line > w.quiet() && w.d.timed {
		longest = math.Max(longest, now-w.line)
	}
	word := w.h.word(w.whole, "")
	if word == "" && total >= 3 {
		word, _ = w.word(w.d.s.t)
		w.h.see(w.d.s.t, word)
		if held := w.h.word(w.whole, ""); held != "" || !w.timeless(now) {
			word = held
		}
	}
	if word == "" && w.whole && now-w.from < 10 && w.boots >= 5 && w.good <= w.boots {
		word = "boot-only" // a log without any time, of starts alone
	}
	why := fmt.Sprintf("%s decoded, %d not, %s, longest silence %s", counted(w.good, "report", "reports"), w.bad,
		counted(w.boots, "restart text", "restart texts"), w.d.lasting(longest))
	if w.lost > 0 {
		why += fmt.Sprintf(", the port lost %s", counted(w.lost, "time", "times"))
	}
	if w.refused != "" {
		why = "the port cannot be opened: " + w.refused
	} else if word == "boot-only" {
		why = fmt.Sprintf("the board starts over and over: %s, and hardly a report between them", counted(w.boots, "restart text", "restart texts"))
	}
	return Finding{
		Check: w.id, Verdict: w.h.verdict(word), Grades: w.grades(word, now),
		Figures: []Figure{{"decoded_fraction", share, "%"}, {"rate_hz", rate, "Hz"}, {"longest_gap_s", orUntimed(w.d, longest), "s"},
			{"decoded_low", low, "%"}, {"decoded_high", high, "%"}},
		Limit: fmt.Sprintf("at most %s of lines damaged, no silence over %s", percent(w.damagedLimit), lasting(w.quiet())),
		Why:   why, Source: w.source, Evidence: w.d.span(w.from, now), Episodes: w.episodes(word, now),
		Missing: missingIf(word == "", w.missing()),
	}
}

// grades of a log in which no time passes count its lines as seconds, as the other checks count readings.
func (w *feedWatch) grades(word string, now float64) []Grade {
	g := w.h.grade(&w.setup, word, now)
	if len(g) > 0 && (!w.d.timed || now-w.from < 1) {
		g[0].Held = max(g[0].Held, duration(float64(w.good+w.bad+w.boots)))
	}
	return g
}

// episodes of a feed that is called sound are none: a lone stop that is over was one until it was.
func (w *feedWatch) episodes(word string, now float64) []Episode {
	if !w.h.isBad(word) {
		return nil
	}
	return w.h.list(&w.setup, now)
}

func (w *feedWatch) missing() string {
	if w.unitOpen() {
		if w.sheet != nil && w.sheet.Sensor.FaceHeight.Known() {
			return "the unit of the distance, from a dialect"
		}
		return "the unit of the distance: a site sheet with the height of the sensor's face, or a dialect"
	}
	return "at least three lines, or ten seconds of listening"
}

// timeless: a whole log in which no time passes, as no line of it could be read; its many lines tell all the same.
func (w *feedWatch) timeless(now float64) bool {
	return w.whole && now-w.from < 10 && w.good == 0 && w.bad >= 40 && !w.unitOpen()
}

func orUntimed(d *digest, v float64) float64 {
	if !d.timed {
		return math.NaN()
	}
	return v
}

func missingIf(missing bool, text string) string {
	if missing {
		return text
	}
	return ""
}

// lineRing counts the lines of the last minute (at least the last 40) in slots of 5 s.
type lineRing struct {
	slots [12]lineSlot
	first int // rejected lines before anything else
}

type lineSlot struct {
	start            float64
	good, bad, boots int
}

// torn lets the first three lines of a feed be cut.
func (r *lineRing) torn() bool {
	r.first++
	return r.first <= 2
}

func (r *lineRing) slot(t float64) *lineSlot {
	i := int(t/5) % len(r.slots)
	s := &r.slots[i]
	if start := math.Floor(t/5) * 5; s.start != start {
		*s = lineSlot{start: start}
	}
	return s
}

func (r *lineRing) add(t float64, good bool) {
	if s := r.slot(t); good {
		s.good++
	} else {
		s.bad++
	}
}

func (r *lineRing) boot(t float64) { r.slot(t).boots++ }

func (r *lineRing) last(t float64) (bad, good, boots, reports int) {
	for _, s := range r.slots {
		if t-s.start <= 60 {
			bad += s.bad
			good += s.good
			boots += s.boots
		}
	}
	return bad, good, boots, good
}
