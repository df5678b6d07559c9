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
	row     int // reports refused one after the other, each the doubt of the next
	why     string
	rel     relation
	dirty   int // lines refused for their look
	broken  int // lines held back for their relation or their digits

	jumps, explained int // of late, of any column; and those that damage would explain
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
	mid  float64 // of the distances that the line was drawn through,
	half float64 // and how far they lie from it
	good bool
}

var relatedRoles = [...]livelevel.Role{livelevel.LevelPercent, livelevel.LevelHeight, livelevel.VolumeRole}

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
	want := q.a + q.b*x
	if q.role == livelevel.LevelPercent {
		want = min(max(want, 0), max(100, y)) // firmware ends the scale there
	}
	return math.Abs(y-want) > q.tol*max(1, math.Abs(x-q.mid)/q.half) // the slope is the less sure the further out
}

// ends tells whether a percent stands at an end of its scale, where it no longer moves with the distance.
func (q *relation) ends(y float64) bool {
	return q.role == livelevel.LevelPercent && (y <= 0 || y >= 100)
}

// add takes a believed report and fits the line anew now and then.
func (q *relation) add(r *livelevel.Reading) {
	x, y, ok := q.pair(r)
	if !ok || q.ends(y) {
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
	worst, half := 0.0, 0.0
	for i := range n {
		half = max(half, math.Abs(q.x[i]-mx))
		worst = max(worst, math.Abs(q.y[i]-q.a-q.b*q.x[i]))
	}
	q.tol, q.mid, q.half = 2*worst+1e-9, mx, half
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
		if again := why == whyDigits && d.why == whyDigits && d.row < probation && dec.farOff(); !follows || again || why == "" && d.why != whyDigits {
			dst = dec.refuse(dst)
			d.row++
		} else {
			dst = dec.accept(dst, d.held)
			why = ""
		}
		if why == "" {
			d.row = 0
			return dec.accept(dst, r)
		}
		dst = append(dst, r)
	}
	d.held, d.holding, d.why = r, true, why
	if why == whyDigits {
		dec.blame()
	}
	dec.holdFigures()
	d.held.Time = at
	return dst[:len(dst)-1]
}

// doubtful says what does not follow from the reports before, "" when all does.
func (dec *Decoder) doubtful(r *livelevel.Reading, at time.Time) string {
	d := &dec.doubt
	gait := steady
	if len(dec.paces) > 0 {
		if gait = dec.goesOn(r, at); gait == leapt {
			return whyClock
		}
	}
	if d.dirt() && d.rel.breaks(r) {
		d.broken++
		return "distance and level do not belong together"
	}
	if dec.garbled(r) {
		d.broken++
		return whyDigits
	}
	if gait == skipped {
		return whySkipped
	}
	return ""
}

const (
	whyClock   = "the controller's clock does not go on"
	whySkipped = "the controller's clock runs ahead"
)

func passed(from, to time.Time) time.Duration {
	if from.IsZero() || to.IsZero() {
		return 0
	}
	return to.Sub(from)
}

// follows tells whether a report goes on from the one that was held.
func (dec *Decoder) follows(held, r *livelevel.Reading) bool {
	if !dec.onwards(held, r) {
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
	if dec.doubt.why == whySkipped { // lines were lost: so it is most often
		return dec.accept(dst, dec.doubt.held)
	}
	return dec.refuse(dst)
}

// refuse rejects the report that was held back. A leap of the controller's clock shows damage as a strange look does;
// a strange value does not, or one spike would make the next the likelier to be taken for damage.
func (dec *Decoder) refuse(dst []livelevel.Reading) []livelevel.Reading {
	d := &dec.doubt
	if d.why == whyClock {
		return dec.reject(dst, d.held.Time, d.why)
	}
	return dec.rejected(dst, d.held.Time, d.why)
}
