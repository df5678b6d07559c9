package feed

import (
	"time"

	"example.org/tankhand/livelevel"
)

// flush hands over a batch: waiting for the consumer when lossless, else only if there is room.
func (w *worker) flush() {
	w.flushed = time.Now()
	if len(w.pending) == 0 && w.rawN == 0 {
		return
	}
	b := Batch{Readings: w.pending, Raw: w.rawLines(), Stats: w.stats}
	if w.opt.Lossless {
		select {
		case w.f.out <- b:
			w.handed()
		case <-w.ctx.Done():
		}
		return
	}
	select {
	case w.f.out <- b:
		w.handed()
	default:
	}
}

func (w *worker) handed() {
	w.rawN = 0
	select {
	case w.pending = <-w.f.spare:
	default:
		w.pending = make([]livelevel.Reading, 0, 3*flushAt)
	}
}

// rawLines are the kept lines, oldest first.
func (w *worker) rawLines() []string {
	n := min(w.rawN, rawShown)
	out := make([]string, 0, n)
	for i := w.rawN - n; i < w.rawN; i++ {
		out = append(out, w.raw[i%rawShown])
	}
	return out
}

// finish takes the end of the feed: what stands there unfinished is decided on now.
func (w *worker) finish(c chunk) {
	if w.end != nil {
		return
	}
	rest := w.split.rest()
	if w.learn != nil {
		w.settleNow()
	}
	if w.dec != nil && !w.opt.RawOnly {
		w.pendingEnd(rest, c.at)
	}
	w.end = c.end
}

func (w *worker) pendingEnd(rest []byte, at time.Time) {
	n := len(w.pending)
	if len(rest) == 0 {
		w.pending = w.dec.End(w.pending, at)
	} else {
		w.stats.Lines++
		w.pending = w.dec.Last(w.pending, rest, at)
	}
	for i := n; i < len(w.pending); i++ {
		w.note(&w.pending[i], at)
	}
}

// last hands over the batch that carries End, making room for it if the consumer has gone.
func (w *worker) last() {
	b := Batch{Readings: w.pending, Raw: w.rawLines(), Stats: w.stats, End: w.end}
	if rec := w.f.recorder(); rec != nil {
		if err := rec.close(); err != nil && b.Stats.CaptureError == "" {
			b.Stats.CaptureError = err.Error()
		}
	}
	if w.ctx.Err() == nil {
		select {
		case w.f.out <- b:
			return
		case <-w.ctx.Done():
		}
	}
	for {
		select {
		case w.f.out <- b:
			return
		default:
		}
		select {
		case old := <-w.f.out:
			b.Stats.Dropped += int64(len(old.Readings))
		default:
		}
	}
}
