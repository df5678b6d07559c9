package dialect

import (
	"math"
	"time"

	"example.org/tankhand/livelevel"
)

// doubts judge a whole report by those before it. A report that does not follow from them is held back for
// one report: if the next one follows from it, things have changed (a restart, marks taught anew) and both
// are believed; if not, it was damage that happened to leave a well-formed line.
type doubts struct {
	held    livelevel.Reading
	holding bool
	why     string
	steps   [9]float64 // last steps of the uptime
	median  float64    // of them, 0 while too few are known
	inverse float64    // 1/median
	even    bool       // they are all of one size
	coarse  bool       // some were nothing
	n       int
	place   int  // of the next step
	changed bool // the steps are not those of last time
	rel     relation
	dirty   int // lines refused for their look
	broken  int // lines held back for their relation
}

// usual works out the median of the last steps of the uptime, and whether they are all of one size (the
// largest two left out, for lines that were lost).
func (d *doubts) usual() {
	s := d.steps
	for i := 1; i < len(s); i++ {
		for j := i; j > 0 && s[j] < s[j-1]; j-- {
			s[j], s[j-1] = s[j-1], s[j]
		}
	}
	d.median = s[len(s)/2]
	d.inverse = 1 / d.median
	d.even = !d.coarse && s[len(s)-3]-s[0] < 0.1*d.median
}

func (d *doubts) step(v float64) {
	if v == 0 {
		d.coarse = true // several reports in one tick of the counter
	}
	if v <= 0 {
		return
	}
	if math.Abs(d.steps[d.place]-v) > 1e-6*v {
		d.steps[d.place], d.changed = v, true
	}
	d.n++
	if d.place++; d.place == len(d.steps) {
		if d.place = 0; d.changed {
			d.usual()
			d.changed = false
		}
	}
}

// leaps tells whether an uptime does not follow from the one before: it fell, or ran ahead of both its
// usual step and the time that passed.
func (dec *Decoder) leaps(before, now float64, passed time.Duration) bool {
	d := now - before
	if fallen(before, now) {
		return !wrapped(before, now)
	}
	usual := dec.doubt.median
	if dec.doubt.even && d > 0.8*usual && d < 1.2*usual {
		return false // the usual step
	}
	if dec.doubt.even && d < 12*usual {
		times := d * dec.doubt.inverse
		off := math.Abs(times - math.Floor(times+0.5))
		return d < 0.7*usual || off > 0.3
	}
	slop := 0.0
	if passed > 0 {
		slop = passed.Seconds()*2 + clockSlop
	}
	return usual > 0 && d > 12*usual && d > slop
}

const (
	relationLength = 64
	relationEnough = 24
)

// relation is how another column goes with the distance: on a straight line, as firmware computes it.
type relation struct {
	role livelevel.Role
	x, y [relationLength]float64
	n    int
	a, b float64 // y = a + b x
	tol  float64
	good bool
}

var relatedRoles = [...]livelevel.Role{livelevel.LevelPercent, livelevel.LevelHeight}

// pair returns the distance of a report and what goes with it.
func (q *relation) pair(r *livelevel.Reading) (x, y float64, ok bool) {
	x, ok = r.Get(livelevel.Ullage)
	if !ok {
		if x, ok = r.Get(livelevel.Echo); !ok {
			return 0, 0, false
		}
	}
	if q.role == livelevel.Ignore {
		for _, role := range relatedRoles {
			if r.Has(role) {
				q.role = role
				break
			}
		}
	}
	y, ok = r.Get(q.role)
	return x, y, ok && q.role != livelevel.Ignore
}

// breaks tells whether a report does not lie on the line; too little known, or too far out, is no.
func (q *relation) breaks(r *livelevel.Reading) bool {
	x, y, ok := q.pair(r)
	if !ok || !q.good {
		return false
	}
	return math.Abs(y-q.a-q.b*x) > q.tol
}

// add takes a believed report and fits the line anew now and then.
func (q *relation) add(r *livelevel.Reading) {
	x, y, ok := q.pair(r)
	if !ok {
		return
	}
	q.x[uint(q.n)%relationLength], q.y[uint(q.n)%relationLength] = x, y
	q.n++
	if q.n == relationEnough || uint(q.n)%relationLength == 0 && (q.n < 4*relationLength || uint(q.n)%(4*relationLength) == 0) {
		q.fit()
	}
}

func (q *relation) fit() {
	n := min(q.n, relationLength)
	mx, my := mean(q.x[:n]), mean(q.y[:n])
	var sxy, sxx, syy float64
	for i := range n {
		sxy += (q.x[i] - mx) * (q.y[i] - my)
		sxx += (q.x[i] - mx) * (q.x[i] - mx)
		syy += (q.y[i] - my) * (q.y[i] - my)
	}
	q.good = false
	if sxx == 0 || sxy*sxy < 0.99*sxx*syy || sxy > 0 {
		return // it does not move, or not on one falling line: nothing can be said
	}
	q.b = sxy / sxx
	q.a = my - q.b*mx
	worst := 0.0
	for i := range n {
		worst = max(worst, math.Abs(q.y[i]-q.a-q.b*q.x[i]))
	}
	q.tol = 2*worst + 1e-9
	if spread := math.Sqrt(syy / float64(n)); q.tol < spread {
		q.good = true
	}
}

// consider decides on the report at the end of dst: believe it, hold it back, or refuse it, and settles
// what was held before.
func (dec *Decoder) consider(dst []livelevel.Reading, at time.Time) []livelevel.Reading {
	d := &dec.doubt
	why := dec.doubtful(&dst[len(dst)-1], at)
	if why == "" && !d.holding {
		return dec.believe(dst, at)
	}
	r := dst[len(dst)-1]
	if d.holding {
		dst = dst[:len(dst)-1]
		follows := dec.follows(&d.held, &r)
		d.holding = false
		if why == "" || !follows {
			dst = dec.reject(dst, d.held.Time, d.why)
		} else {
			dst = dec.accept(dst, d.held)
			why = ""
		}
		if why == "" {
			return dec.accept(dst, r)
		}
		dst = append(dst, r)
	}
	d.held, d.holding, d.why = r, true, why
	dec.holdFigures()
	d.held.Time = at
	return dst[:len(dst)-1]
}

// doubtful says what does not follow from the reports before, "" when all does.
func (dec *Decoder) doubtful(r *livelevel.Reading, at time.Time) string {
	s := &dec.restart
	if up, ok := r.Get(livelevel.Uptime); ok && s.known && !s.pending && dec.leaps(s.uptime, up, passed(s.last, at)) {
		return "the uptime does not go on"
	}
	d := &dec.doubt
	if d.dirty > 0 && d.broken <= 3*d.dirty && d.rel.breaks(r) {
		d.broken++
		return "distance and level do not belong together"
	}
	if dec.garbled() {
		d.broken++
		return whyDigits
	}
	return ""
}

func passed(from, to time.Time) time.Duration {
	if from.IsZero() || to.IsZero() {
		return 0
	}
	return to.Sub(from)
}

// follows tells whether a report goes on from the one that was held.
func (dec *Decoder) follows(held, r *livelevel.Reading) bool {
	a, ok1 := held.Get(livelevel.Uptime)
	b, ok2 := r.Get(livelevel.Uptime)
	if ok1 && ok2 && (b < a || dec.leaps(a, b, passed(held.Time, r.Time))) {
		return false
	}
	if dec.doubt.why == whyDigits && !dec.stays() {
		return false
	}
	q := &dec.doubt.rel
	return !q.breaks(held) || q.breaks(r)
}

// accept believes a report that is not in dst yet.
func (dec *Decoder) accept(dst []livelevel.Reading, r livelevel.Reading) []livelevel.Reading {
	q := &dec.doubt.rel
	if q.breaks(&r) && dec.doubt.dirty > 0 {
		role := q.role
		*q = relation{role: role} // the line is another now
	}
	return dec.believe(append(dst, r), r.Time)
}

// release gives up what is held: at the end of the feed nothing more can confirm it.
func (dec *Decoder) release(dst []livelevel.Reading) []livelevel.Reading {
	if !dec.doubt.holding {
		return dst
	}
	dec.doubt.holding = false
	return dec.reject(dst, dec.doubt.held.Time, dec.doubt.why)
}
