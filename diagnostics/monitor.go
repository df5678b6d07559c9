package diagnostics

import (
	"math"
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// Monitor runs all automatic checks over a feed. Whole keeps the figures over everything (survey);
// otherwise they speak of a sliding window (bench). It is not safe for concurrent use.
type Monitor struct {
	sheet  *site.Sheet
	window time.Duration
	d      *digest
	slots  []slot
	frozen []Finding // not nil while frozen
	hours  Hours     // what lies outside is passed over
	out    bool      // the last item lay outside
}

// leastWindow leaves the younger observer time to hold a word before it takes over.
const leastWindow = 90 * time.Second

// NewMonitor starts all checks. window 0 means the whole feed; otherwise a finding speaks of the last
// half to whole window, which is at least 90 s, 64 readings, and what the check itself needs (a
// drift needs a day).
func NewMonitor(sheet *site.Sheet, window time.Duration) *Monitor {
	m := &Monitor{sheet: sheet, window: window}
	m.Thaw()
	return m
}

// Thaw starts all windows anew.
func (m *Monitor) Thaw() {
	m.frozen = nil
	m.d = newDigest(m.sheet)
	m.slots = make([]slot, len(kinds))
	for i, k := range kinds {
		m.slots[i] = newSlot(k, m.d, m.window)
	}
}

// Freeze keeps the present findings and ignores what comes (a prompted probe or a remedy runs).
func (m *Monitor) Freeze(now time.Time) {
	if m.frozen == nil {
		m.frozen = m.Findings(now)
	}
}

// Only makes the checks look at these hours of the day alone, by the feed's own clock.
func (m *Monitor) Only(h Hours) { m.hours = h }

// Add gives a level to every check, unless frozen.
func (m *Monitor) Add(l *livelevel.Level) {
	if m.frozen != nil {
		return
	}
	if m.hours != (Hours{}) {
		if at := l.Reading.Time; !at.IsZero() && !m.hours.Holds(at) {
			m.out = true
			return
		} else if m.out {
			m.d.resume(at)
			m.out = false
		}
	}
	m.d.add(l, m.each)
}

func (m *Monitor) each(e event) {
	for i := range m.slots {
		m.slots[i].take(e, m.d)
	}
}

// Findings returns all findings as of now, in the order of Checks.
func (m *Monitor) Findings(now time.Time) []Finding {
	if m.frozen != nil {
		return append([]Finding(nil), m.frozen...)
	}
	if m.out {
		now = time.Time{} // the last item that lay inside
	}
	fs := make([]Finding, len(m.slots))
	for i := range m.slots {
		fs[i] = m.slots[i].finding(m.d, now)
	}
	return fs
}

// slot is one check of a Monitor. A sliding window is kept by two observers, the younger started
// half a window later: when the elder has seen a whole window, the younger takes its place.
type slot struct {
	k       *kind
	window  float64 // s; 0 is the whole feed
	now     observer
	next    observer // nil until half a window has passed
	started float64
	later   float64 // when next was started
	shown   []Grade // as last shown: so that Since outlives a change of observers
}

func newSlot(k *kind, d *digest, window time.Duration) slot {
	s := slot{k: k}
	if window > 0 {
		s.window = max(window, k.window, leastWindow).Seconds()
	}
	s.now = s.start(d, 0)
	return s
}

func (s *slot) start(d *digest, at float64) observer {
	return s.k.make(setup{id: s.k.id, aspects: s.k.aspects, sheet: d.sheet, d: d, whole: s.window == 0, from: at})
}

func (s *slot) take(e event, d *digest) {
	e.give(s.now, d)
	if s.window == 0 {
		return
	}
	if s.next != nil {
		e.give(s.next, d)
	}
	if e == evBeat {
		s.slide(d)
	}
}

// slide starts the younger observer and lets it take over when its time has come.
func (s *slot) slide(d *digest) {
	t := d.s.t
	window := math.Max(s.window, 64*d.period) // a slow feed needs longer to say anything
	switch {
	case s.next == nil && t-s.started >= window/2:
		s.next, s.later = s.start(d, t), t
	case s.next != nil && t-s.started >= window:
		s.finding(d, d.at(t)) // for shown
		s.now, s.started = s.next, s.later
		s.next, s.later = s.start(d, t), t
	}
}

func (s *slot) finding(d *digest, now time.Time) Finding {
	f := finish(s.now, d, now)
	if s.window > 0 {
		s.keepSince(&f, now)
	}
	return f
}

// keepSince carries the beginning of a word over the change of observers.
func (s *slot) keepSince(f *Finding, now time.Time) {
	for i := range f.Grades {
		g := &f.Grades[i]
		for _, old := range s.shown {
			if old.Aspect != g.Aspect || old.Word != g.Word || old.Since.IsZero() || !old.Since.Before(g.Since) {
				continue
			}
			g.Since = old.Since
			if !s.k.ownHeld {
				g.Held = max(g.Held, now.Sub(g.Since))
			}
		}
	}
	for _, g := range f.Grades {
		s.show(g)
	}
}

// show remembers a grade; an aspect that cannot be told for a moment keeps its last one.
func (s *slot) show(g Grade) {
	for i := range s.shown {
		if s.shown[i].Aspect == g.Aspect {
			s.shown[i] = g
			return
		}
	}
	s.shown = append(s.shown, g)
}
