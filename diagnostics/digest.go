package diagnostics

import (
	"math"
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// event is what a digest has to hand on.
type event uint8

const (
	evSample event = iota
	evBlock
	evBeat
)

// give hands the present event to an observer.
func (e event) give(o observer, d *digest) {
	switch e {
	case evSample:
		o.sample(&d.s)
	case evBlock:
		o.block(&d.b)
	default:
		o.beat(d.s.t)
	}
}

// beatEvery is how often words are judged, in feed time. Short enough for a "seen" rule of 15 s.
const beatEvery = 5.0

// item is one item of the feed, with what every check wants to know of it.
type item struct {
	l     *livelevel.Level
	r     *livelevel.Reading
	t     float64 // s from the first item; counts readings where the feed has no time
	dt    float64 // since the report before; 0 for the first
	u     float64 // this reading's own distance, or one made from its level; the speed of sound put right
	own   float64 // the same as the controller has it: what it compares with its marks
	seen  bool    // there is a distance
	lost  bool    // the controller said that it heard no echo
	first bool    // the first report since start, gap, or loss of the port
	pump  int8    // 1 on, 0 off, -1 not known
	edge  int8    // 1: went on with this report, -1: went off
	slot  int16   // of the day, in tens of minutes; noSlot where the feed does not tell
}

// digest turns items into samples, blocks and beats, and keeps what all checks share.
type digest struct {
	sheet  *site.Sheet
	start  time.Time
	begun  bool
	timed  bool
	s      item
	b      block
	f      fitter
	last   float64 // time of the last report
	any    bool    // there was a report
	period float64 // s between reports, mean without gaps
	n      int
	pump   int8
	edgeAt float64 // time of the last edge
	step   step
	marks  marks
	spread float64 // of the last good block
	draw   drawMeter
	// overfull: with the pump off the level rose past full, and did not fall since.
	overfull bool
	beatAt   float64
	pauses   pauses
	clock    dayClock
	resumed  bool // the next report is the first after a pause
}

func newDigest(sheet *site.Sheet) *digest {
	if sheet == nil {
		sheet = &site.Sheet{}
	}
	d := &digest{sheet: sheet, pump: -1, spread: math.NaN()}
	d.marks.fromSheet(sheet)
	d.draw.s.d = d
	return d
}

// seconds is a time on the digest's own scale; time's zero value stands for "the last item".
func (d *digest) seconds(at time.Time) float64 {
	if !d.begun || !d.timed || at.IsZero() {
		return d.s.t
	}
	return math.Max(d.s.t, at.Sub(d.start).Seconds()-d.pauses.total())
}

// at is the inverse of seconds.
func (d *digest) at(t float64) time.Time {
	if !d.timed {
		return time.Time{}
	}
	return d.start.Add(time.Duration((t + d.pauses.before(t)) * float64(time.Second)))
}

func (d *digest) span(from, to float64) Span { return Span{d.at(from), d.at(to)} }

// add takes the next item and calls each for every event that comes of it.
func (d *digest) add(l *livelevel.Level, each func(event)) {
	d.stamp(&l.Reading)
	s := &d.s
	s.l, s.r, s.seen, s.lost, s.edge, s.first, s.dt = l, &l.Reading, false, false, 0, false, 0
	switch l.Reading.Kind {
	case livelevel.Report:
		d.report(l)
	case livelevel.Lost, livelevel.Back, livelevel.Opened:
		d.pump = -1 // what happened meanwhile was not seen
	}
	s.pump = d.pump
	s.slot = d.clock.at(s, d.timed)
	if d.f.n > 0 && s.first {
		d.closeBlock(each)
	}
	if d.f.closes(s, d.period) {
		d.closeBlock(each)
	}
	if s.seen {
		d.f.put(s.t, s.u, s.pump)
	}
	d.draw.sample(s)
	each(evSample)
	if s.t-d.beatAt >= beatEvery {
		d.beatAt = s.t
		each(evBeat)
	}
}

func (d *digest) closeBlock(each func(event)) {
	if d.f.fit(&d.b, d.step.size()) {
		if d.b.n >= minBlock {
			d.spread = d.b.spread
		}
		each(evBlock)
	}
	d.f.clear()
}

// stamp sets the time of the sample. A clock that falls back stands still: order is what we trust.
func (d *digest) stamp(r *livelevel.Reading) {
	if !d.begun {
		d.begun, d.timed, d.start = true, !r.Time.IsZero(), r.Time
		return
	}
	if !d.timed && !d.any && !r.Time.IsZero() {
		d.timed, d.start = true, r.Time
	}
	if !d.timed {
		if r.Kind == livelevel.Report {
			d.s.t++
		}
		return
	}
	if t := r.Time.Sub(d.start).Seconds() - d.pauses.total(); t > d.s.t {
		d.s.t = t
	}
}

// report fills in what a report says.
func (d *digest) report(l *livelevel.Level) {
	s := &d.s
	if d.any {
		s.dt = s.t - d.last
		if s.first = d.resumed || d.gap(s.dt); !d.resumed {
			d.pace(s.dt)
		}
	} else {
		s.first = true
	}
	d.any, d.last, d.resumed = true, s.t, false
	d.n++
	if s.first {
		d.pump = -1
	}
	if s.u, s.seen = d.distance(l); s.seen {
		d.step.add(l)
		if s.own = s.u; l.Reading.Has(livelevel.Ullage) {
			s.own, _ = l.Reading.Get(livelevel.Ullage)
		}
	}
	s.lost = l.Reading.EchoLost && !s.seen // a percent that is missing beside a distance is no lost echo
	d.marks.fromFeed(&l.Reading)
	d.relay(&l.Reading)
}

func (d *digest) relay(r *livelevel.Reading) {
	on, sent := r.On(livelevel.Pump)
	if !sent {
		return
	}
	was, is := d.pump, int8(0)
	if on {
		is = 1
	}
	d.pump = is
	if was >= 0 && was != is {
		d.s.edge = is - was
		d.edgeAt = d.s.t
	}
}

// gap tells whether so long a silence is more than a slow feed.
func (d *digest) gap(dt float64) bool { return d.timed && dt > math.Max(10*d.period, 15) }

// pace keeps the mean time between reports; a gap counts as five of them.
func (d *digest) pace(dt float64) {
	if d.period == 0 {
		d.period = dt
		return
	}
	d.period += (math.Min(dt, 5*d.period+0.01) - d.period) * math.Max(1/float64(d.n), 1.0/64)
}

// distance is the reading's own, or made from a level or percent where the feed has no distance.
func (d *digest) distance(l *livelevel.Level) (float64, bool) {
	if u := l.RawUllage; !math.IsNaN(u) && !math.IsInf(u, 0) {
		return u, true
	}
	if u, ok := l.Reading.Get(livelevel.Ullage); ok {
		return u, !math.IsNaN(u) && !math.IsInf(u, 0)
	}
	if l.Reading.EchoLost {
		return 0, false
	}
	if h, ok := l.Reading.Get(livelevel.LevelHeight); ok {
		return d.sheet.Sensor.FaceHeight.Or(0) - h, !math.IsNaN(h)
	}
	if p, ok := l.Reading.Get(livelevel.LevelPercent); ok && d.marks.known() {
		return d.marks.at(p / 100), !math.IsNaN(p)
	}
	return 0, false
}

// height is the water above the bottom, NaN where it cannot be known.
func (d *digest) height(u float64) float64 {
	if f := d.sheet.Sensor.FaceHeight; f.Known() {
		return f.V - u
	}
	return math.NaN()
}

// step finds the resolution of a display: the least change that it ever showed.
type step struct {
	was, least float64
	role       livelevel.Role
	moves      int
}

// add looks at the value as it was sent: a correction for temperature would hide the steps.
func (p *step) add(l *livelevel.Level) {
	v := l.RawUllage
	for _, role := range [...]livelevel.Role{livelevel.Ullage, livelevel.UllageRaw, livelevel.LevelHeight} {
		if x, ok := l.Reading.Get(role); ok {
			if role != p.role {
				p.role, p.was = role, x
			}
			v = x
			break
		}
	}
	if c := math.Abs(v - p.was); c > 1e-6 && p.was != 0 {
		p.moves++
		if p.least == 0 || c < p.least {
			p.least = c
		}
	}
	p.was = v
}

// size is the step, 0 while unknown. Values printed finer than 0.05 mm are as good as continuous.
func (p *step) size() float64 {
	if p.moves < 3 || p.least < 5e-5 {
		return 0
	}
	return p.least
}
