package diagnostics

import (
	"math"
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// observer is the inside of a check. The items of a feed are digested once, for all checks: sample
// sees every item, block a stretch of some 15 s with its line fitted, beat comes every few seconds
// of feed time and is where words are judged.
type observer interface {
	sample(s *item)
	block(b *block)
	beat(t float64)
	finding(now float64) Finding
}

// setup is what an observer is made from.
type setup struct {
	id      string
	aspects []Aspect
	sheet   *site.Sheet
	d       *digest
	whole   bool // figures of the whole feed; else of a window that is cut off by the Monitor
	from    float64
}

// passive gives an observer the parts that it does not care for.
type passive struct{ setup }

func (*passive) sample(*item) {}
func (*passive) block(*block) {}
func (*passive) beat(float64) {}

// kind is one automatic check; it satisfies Check.
type kind struct {
	id      string
	aspects []Aspect
	window  time.Duration // at least this much feed stands behind a live finding
	ownHeld bool          // Held counts something else than feed time
	make    func(s setup) observer
}

func (k *kind) ID() string        { return k.id }
func (k *kind) Aspects() []Aspect { return k.aspects }

// New starts the check alone, over the whole feed.
func (k *kind) New(sheet *site.Sheet) Observer {
	d := newDigest(sheet)
	o := k.make(setup{id: k.id, aspects: k.aspects, sheet: d.sheet, d: d, whole: true})
	return &alone{d: d, o: o}
}

// alone is one check with a digest of its own.
type alone struct {
	d *digest
	o observer
}

func (a *alone) Add(l *livelevel.Level)        { a.d.add(l, a.each) }
func (a *alone) Finding(now time.Time) Finding { return finish(a.o, a.d, now) }

func (a *alone) each(e event) { e.give(a.o, a.d) }

// finish asks for a finding and keeps what no screen or JSON could show out of it.
func finish(o observer, d *digest, now time.Time) Finding {
	f := o.finding(d.seconds(now))
	if d.begun && !d.timed {
		f = timeless(f)
	}
	if f.Verdict == CannotTell && f.Missing == "" {
		f.Missing = "more feed"
	}
	if f.Verdict == Fail && len(f.Episodes) > 0 {
		f.Evidence = longestOf(f.Episodes)
	}
	for i, g := range f.Figures {
		if math.IsInf(g.Value, 0) {
			f.Figures[i].Value = math.NaN()
		}
	}
	return f
}

// timeless takes back what a feed without times cannot show: rates, and how long something lasted.
func timeless(f Finding) Finding {
	rate := f.Check == fillRate.id || f.Check == drawRate.id || f.Check == driftCheck.id
	if !rate && (f.Check != stuckReading.id || f.Verdict != Fail) {
		return f
	}
	for i := range f.Figures {
		f.Figures[i].Value = math.NaN()
	}
	f.Verdict, f.Grades, f.Episodes, f.Runs = CannotTell, nil, nil, nil
	f.Why, f.Missing = "the feed carries no times", "times: a feed with a clock, a capture, or the time between its readings"
	return f
}

// longestOf is the stretch that proves a failure best.
func longestOf(es []Episode) (best Span) {
	for _, e := range es {
		if e.To.Sub(e.From) >= best.To.Sub(best.From) {
			best = e.Span
		}
	}
	return best
}

// Checks are all automatic checks, in the order in which they are shown and written.
func Checks() []Check {
	cs := make([]Check, len(kinds))
	for i, k := range kinds {
		cs[i] = k
	}
	return cs
}

// kinds are the checks; scripts and golden files rely on their order.
var kinds = []*kind{feedHealth, echoDropouts, readingSpread, readingShape, stuckReading, pumpNoise, relaySwitching,
	thresholdMargin, restartsCheck, supplySag, fillRate, drawRate, driftCheck, marksCheck, obeysSettings, inputsCheck}
