package feed

import (
	"bytes"
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/site"
)

// learning is the state of a feed whose dialect is not settled: the lines held back, and the learner.
type learning struct {
	learner *dialect.Learner
	sheet   *site.Sheet
	live    bool
	held    []heldLine
	said    bool // one of them is not empty
	empty   bool // the last line was: of many in a row one is enough to part blocks
	next    int  // lines at which to try again
	seen    int
	// unitOpen: of the lines only the unit of the distance is not known.
	unitOpen bool
}

type heldLine struct {
	text []byte
	at   time.Time
}

const (
	holdLive    = 48  // lines of a live feed held back while the dialect is not settled
	holdLog     = 600 // lines of a log that are looked at before the first is decoded
	tryFirst    = 4
	giveUp      = 20 * time.Second // of a live feed: then what is held is called not understood,
	giveUpLines = 10               // if it is so many lines,
	oneStart    = 3 * time.Second  // boot lines that follow each other faster are of one start
	giveUpSlow  = 2 * time.Minute  // or whatever it is
)

func newLearning(sheet *site.Sheet, live bool) *learning {
	l := &learning{learner: dialect.NewLearner(sheet), sheet: sheet, live: live, next: tryFirst}
	if !live {
		l.next = holdLog
	}
	return l
}

// study adds a line to what is held and tries to settle.
func (w *worker) study(text []byte, at time.Time) {
	l := w.learn
	empty := len(bytes.TrimSpace(text)) == 0
	if empty && l.empty {
		return
	}
	l.empty = empty
	l.learner.Add(text, at)
	if !l.said && !empty && dialect.Classify(text) == dialect.BootText {
		w.bootText(text, at) // a board that only ever starts must be seen at once
		l.seen++
		return
	}
	l.said = l.said || !empty
	l.held = append(l.held, heldLine{append([]byte(nil), text...), at})
	l.seen++
	if l.seen < l.next {
		w.tooLong(at)
		return
	}
	l.next = l.seen + max(2, l.seen/3)
	p := l.learner.Propose()
	w.f.propose(p)
	if l.unitOpen = p.UnitOpen; p.Settled {
		w.adopt(p)
		return
	}
	w.tooLong(at)
}

// adopt puts a proposal in force and decodes what was held.
func (w *worker) adopt(p dialect.Proposal) {
	l := w.learn
	w.use(p.Dialect, p.Confidence)
	if w.dec == nil {
		return
	}
	if l.live && !p.Deaf {
		w.later = &revision{learner: l.learner, lines: l.seen, next: max(reviseFirst, 3*l.seen)}
	}
	w.first = l.live && w.dec.Unlabelled()
	for _, h := range l.held {
		w.decode(h.text, h.at)
	}
	w.deaf = p.Deaf // after the lines it was learned from: none of them is news
}

// heard begins the learning anew when a feed without any echo brings its first number, or a line that
// does not fit: only now can the units be worked out. The line is the first of the new lesson.
func (w *worker) heard(l []byte, at time.Time, n int) bool {
	got := false
	for i := n; i < len(w.pending); i++ {
		r := &w.pending[i]
		got = got || r.Kind == livelevel.Rejected || r.Has(livelevel.Ullage) || r.Has(livelevel.Echo) || r.Has(livelevel.UllageRaw)
	}
	if !got {
		return false
	}
	w.pending = w.pending[:n]
	w.deaf, w.dec = false, nil
	w.learn = newLearning(w.opt.Sheet, true)
	w.study(l, at)
	return true
}

// tooLong stops holding back: a feed that makes no sense must show as such.
func (w *worker) tooLong(at time.Time) {
	l := w.learn
	limit := holdLog
	if l.live {
		limit = holdLive
	}
	if len(l.held) == 0 {
		return
	}
	waited := at.Sub(l.held[0].at)
	if len(l.held) >= limit || l.live && (waited > giveUp && len(l.held) >= giveUpLines || waited > giveUpSlow) {
		w.release()
	}
}

// release hands over what was held as not understood, restarts as restarts.
func (w *worker) release() {
	why := "no dialect fits yet"
	if w.learn.unitOpen {
		why = livelevel.UnitOpen
	}
	for _, h := range w.learn.held {
		switch dialect.Classify(h.text) {
		case dialect.BootText:
			w.bootText(h.text, h.at)
		default:
			w.reject(h.text, h.at, why)
		}
	}
	w.learn.held, w.learn.said = w.learn.held[:0], false
}

// bootText hands over a restart; the lines of one start-up are one restart.
func (w *worker) bootText(text []byte, at time.Time) {
	if since := at.Sub(w.bootAt); !w.bootAt.IsZero() && since >= 0 && since < oneStart {
		w.bootAt = at
		return
	}
	w.bootAt = at
	w.add(livelevel.Reading{Time: at, Kind: livelevel.Restart, Text: string(text[:min(len(text), 200)])})
}

// settleNow decides with what there is, at the end of a feed.
func (w *worker) settleNow() {
	p := w.learn.learner.Propose()
	w.f.propose(p)
	if w.learn.unitOpen = p.UnitOpen; p.Settled {
		w.adopt(p)
	}
	if w.learn != nil {
		w.release()
	}
}

// revision looks at a live feed again when more of it was seen: a word for a lost echo, a column that
// began to move.
type revision struct {
	learner *dialect.Learner
	lines   int
	next    int
}

const (
	reviseFirst = 40
	reviseLast  = 600
)

// revise adds a line, and now and then asks the learner again; a proposal that says the same, or is less
// sure, changes nothing.
func (w *worker) revise(text []byte, at time.Time) {
	v := w.later
	v.learner.Add(text, at)
	if v.lines++; v.lines < v.next {
		return
	}
	if v.next *= 3; v.lines >= reviseLast {
		w.later = nil
	}
	p := v.learner.Propose()
	now, sure, _ := w.f.Dialect()
	if !p.Settled || p.Confidence < sure-0.02 || dialect.Format(p.Dialect) == dialect.Format(now) {
		return
	}
	dec, err := dialect.NewDecoder(p.Dialect)
	if err != nil {
		return
	}
	dec.Inherit(w.dec)
	w.dec = dec
	w.stats.DialectConfidence = p.Confidence
	w.f.propose(p)
	w.f.settle(p.Dialect, p.Confidence)
}
