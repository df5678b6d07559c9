package feed

import (
	"bytes"
	"context"
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/port"
)

const (
	flushEvery = 50 * time.Millisecond
	flushAt    = 256      // readings that make a batch without waiting
	maxPending = 64 << 10 // readings kept for a slow consumer; more are dropped and counted
	rawShown   = 64       // raw lines of a batch
	tickEvery  = time.Second
	ownRestart = 5 * time.Second // a restart so soon after our opening is ours
	gapAtLeast = 2 * time.Second // a pause shorter than this is no gap
)

// worker writes the capture, decodes, and hands over batches.
type worker struct {
	ctx       context.Context
	f         *Feed
	open      port.Opener
	opt       Options
	split     splitter
	dec       *dialect.Decoder
	learn     *learning
	later     *revision
	bootAt    time.Time // of the last boot line while the dialect is not settled
	deaf      bool      // only lost echoes have come yet, so the unit of the distance is not known
	first     bool      // the next line may be the rest of one, and would not show it
	pending   []livelevel.Reading
	raw       [rawShown]string
	rawN      int
	stats     Stats
	openedAt  time.Time
	opened    bool
	lastItem  time.Time // of anything, for ticks
	lastRead  time.Time // of a reading, for gaps
	period    float64   // seconds between readings, smoothed
	count     int64     // of items stamped by the interval
	flushed   time.Time
	lastChunk time.Time // when the bytes before came
	end       error
	taken     func([]byte) // gives the room of a chunk's bytes back
}

func newWorker(ctx context.Context, f *Feed, open port.Opener, opt Options) *worker {
	info := open.Info()
	w := &worker{ctx: ctx, f: f, open: open, opt: opt, flushed: time.Now()}
	w.stats.Source, w.stats.Times = info.Source, info.Times
	if opt.Dialect != nil {
		w.use(*opt.Dialect, 1)
	}
	if w.dec == nil && !opt.RawOnly {
		w.learn = newLearning(opt.Sheet, info.Live)
	}
	return w
}

// use puts a dialect in force; one that does not work is left out, and learning goes on.
func (w *worker) use(d dialect.Dialect, sure float64) {
	dec, err := dialect.NewDecoder(d)
	if err != nil {
		return
	}
	w.dec, w.learn, w.later = dec, nil, nil
	w.stats.DialectConfidence = sure
	w.f.settle(d, sure)
}

func (w *worker) run(in <-chan chunk) {
	defer close(w.f.done)
	defer close(w.f.out)
	tick := time.NewTicker(flushEvery)
	defer tick.Stop()
	for {
		select {
		case c, ok := <-in:
			if !ok {
				w.last()
				return
			}
			w.take(c)
			if len(c.data) > 0 {
				w.taken(c.data)
			}
			if len(w.pending) >= flushAt || len(in) == 0 && time.Since(w.flushed) >= flushEvery {
				w.flush()
			}
		case <-tick.C:
			w.flush()
		}
	}
}

// take handles one chunk in the order of the house: capture first.
func (w *worker) take(c chunk) {
	w.capture(c)
	if c.end != nil {
		w.event(c)
		w.finish(c)
		return
	}
	if d := w.f.asked(); d != nil {
		w.use(*d, 1)
	}
	w.event(c)
	if len(c.data) > 0 {
		w.stats.Bytes += int64(len(c.data))
		w.spread(c)
	} else if c.kind == livelevel.Tick {
		w.silent(c.at)
	}
}

func (w *worker) capture(c chunk) {
	if w.opt.Capture == "" || c.at.IsZero() || w.stats.CaptureError != "" {
		return
	}
	rec := w.f.recorder()
	if rec == nil {
		if c.event == "" && len(c.data) == 0 {
			return
		}
		var err error
		if rec, err = newRecorder(w.opt.Capture, w.open.Info(), c.at); err != nil {
			w.stats.CaptureError = err.Error()
			return
		}
		w.f.mu.Lock()
		w.f.rec = rec
		w.f.mu.Unlock()
	}
	if err := rec.record(c); err != nil {
		w.stats.CaptureError = err.Error()
	}
	w.stats.CapturePath = rec.name()
}

// event turns what happened to the port into a reading.
func (w *worker) event(c chunk) {
	kind := c.kind
	if kind == livelevel.Report { // bytes, or an event that a capture recorded
		switch c.event {
		case "opened":
			kind = livelevel.Opened
		case "lost":
			kind = livelevel.Lost
		case "back":
			kind = livelevel.Back
		case "baud":
			w.split.rest() // half a line at another rate
			return
		default:
			return
		}
	}
	switch kind {
	case livelevel.Opened, livelevel.Back:
		w.stats.Refusal = ""
		recorded := c.kind == livelevel.Report // a capture says so: then it was a port that may restart
		twice := recorded && kind == livelevel.Opened && w.openedAt.Equal(c.at) && !c.at.IsZero()
		w.openedAt, w.opened = c.at, recorded || w.open.Info().MayRestart
		w.split.rest()
		w.first = w.dec != nil && w.dec.Unlabelled()
		if twice {
			return // the replay was opened, and the capture begins with its own opening
		}
	case livelevel.Lost:
		w.reject(w.split.rest(), c.at, "cut off as the port went away")
	case livelevel.Refused:
		w.stats.Refusal = c.why
	default:
		return
	}
	w.add(livelevel.Reading{Time: c.at, Kind: kind, Text: c.text})
}

// spread cuts a chunk into lines. Where the port's clock runs faster than the world's, the lines of one
// chunk came one after another since the chunk before: they get times between the two.
func (w *worker) spread(c chunk) {
	n := bytes.Count(c.data, []byte{'\n'})
	span := c.at.Sub(w.lastChunk)
	w.lastChunk = c.at
	usual := time.Duration(1.5 * w.period * float64(n) * float64(time.Second))
	if n < 2 || w.open.Info().ClockRate <= 1 || span <= 0 || usual == 0 {
		w.split.feed(c.data, c.at, w.line)
		return
	}
	step := min(span, usual) / time.Duration(n)
	left := n
	w.split.feed(c.data, c.at, func(l []byte, at time.Time, long bool) {
		left--
		w.line(l, at.Add(-step*time.Duration(max(0, left))), long)
	})
}

// silent lets the clock of a live feed show in the readings. It does not run ahead of lines that are held back:
// they came before, and would be of the past when they are decoded.
func (w *worker) silent(at time.Time) {
	if w.learn != nil && !at.IsZero() {
		if w.tooLong(at); len(w.learn.held) > 0 {
			return
		}
	}
	if at.IsZero() || at.Sub(w.lastItem) < tickEvery {
		return
	}
	w.add(livelevel.Reading{Time: at, Kind: livelevel.Tick})
}

func (w *worker) line(l []byte, at time.Time, long bool) {
	w.stats.Lines++
	w.keepRaw(l)
	switch {
	case w.opt.RawOnly:
	case long:
		w.reject(l, at, "longer than any report")
	case w.learn != nil:
		w.study(l, at)
	default:
		w.decode(l, at)
		if w.later != nil {
			w.revise(l, at)
		}
	}
}

// keepRaw keeps the last raw lines, bounded, for the teach-in.
func (w *worker) keepRaw(l []byte) {
	if w.opt.Lossless && w.rawN >= rawShown && w.stats.Lines%64 != 0 {
		return // a replay at once shows samples only
	}
	w.raw[w.rawN%rawShown] = string(l[:min(len(l), 256)])
	w.rawN++
}

func (w *worker) reject(l []byte, at time.Time, why string) {
	if len(l) == 0 {
		return
	}
	w.add(livelevel.Reading{Time: at, Kind: livelevel.Rejected, Text: why})
}

// decode appends what the line says to the pending readings.
func (w *worker) decode(l []byte, at time.Time) {
	if w.first {
		w.first = false
		if dialect.Classify(l) != dialect.BootText {
			w.reject(l, at, "the start of the line may be missing")
			return
		}
	}
	n := len(w.pending)
	w.pending = w.dec.Decode(w.pending, l, at)
	if len(w.pending) == n {
		return
	}
	if w.deaf && w.heard(l, at, n) {
		return
	}
	got := w.pending[n:]
	for i := range got {
		w.note(&got[i], at)
	}
	w.bound()
}

// note stamps and counts one item.
func (w *worker) note(r *livelevel.Reading, at time.Time) {
	if at.IsZero() && r.Time.IsZero() && w.opt.Interval > 0 {
		r.Time = time.Unix(0, 0).UTC().Add(time.Duration(w.count) * w.opt.Interval)
		if r.Kind == livelevel.Report {
			w.count++
		}
		w.stats.Times = livelevel.ByInterval
	} else if at.IsZero() && !r.Time.IsZero() {
		w.stats.Times = livelevel.ByLine
	}
	switch r.Kind {
	case livelevel.Report:
		w.stats.Readings++
		w.gap(r.Time)
	case livelevel.Rejected:
		w.stats.Rejected++
	case livelevel.Restart:
		w.stats.Restarts++
		since := r.Time.Sub(w.openedAt)
		r.Ours = w.opened && since >= 0 && since <= ownRestart
	}
	if r.Time.IsZero() {
		return
	}
	w.lastItem = r.Time
	if r.Kind == livelevel.Tick || r.Kind == livelevel.Refused {
		return
	}
	if w.stats.From.IsZero() {
		w.stats.From = r.Time
	}
	w.stats.To = r.Time
}

// gap counts pauses: longer than four usual intervals, and than gapAtLeast.
func (w *worker) gap(at time.Time) {
	if at.IsZero() {
		return
	}
	if !w.lastRead.IsZero() {
		d := at.Sub(w.lastRead)
		w.stats.LongestGap = max(w.stats.LongestGap, d)
		if d >= gapAtLeast && w.period > 0 && d.Seconds() > 4*w.period {
			w.stats.Gaps++
		} else {
			w.period += (d.Seconds() - w.period) / float64(min(16, w.stats.Readings))
		}
	}
	w.lastRead = at
}

func (w *worker) add(r livelevel.Reading) {
	w.pending = append(w.pending, r)
	w.note(&w.pending[len(w.pending)-1], r.Time)
	w.bound()
}

// bound drops the oldest readings that a slow consumer did not take, and counts them.
func (w *worker) bound() {
	if w.opt.Lossless || len(w.pending) <= maxPending {
		return
	}
	n := maxPending / 8
	w.pending = append(w.pending[:0], w.pending[n:]...)
	w.stats.Dropped += int64(n)
}
