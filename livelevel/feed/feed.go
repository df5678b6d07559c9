// Package feed reads a port in the background: raw capture first, then the dialect, then batches of
// readings. It owns reopening and says lost and back.
package feed

import (
	"context"
	"sync"
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/livelevel/site"
)

// Options of a feed. The zero value learns the dialect and keeps no capture.
type Options struct {
	Dialect *dialect.Dialect // nil: work it out
	Sheet   *site.Sheet      // helps to work it out; may be nil
	// Capture is the folder for raw captures; empty keeps none.
	Capture string
	// Interval between readings for logs without any time; 0: none.
	Interval time.Duration
	// Lossless makes a slow consumer hold up the source (files, rigs at once) instead of dropping
	// decoded batches; raw bytes are never dropped.
	Lossless bool
	// RawOnly keeps the bytes and decodes nothing.
	RawOnly bool
}

// Stats are running totals of the whole feed.
type Stats struct {
	Source                                           string
	Times                                            livelevel.Times
	Bytes, Lines, Readings, Rejected, Restarts, Gaps int64
	Dropped                                          int64 // readings that a slow consumer cost
	LongestGap                                       time.Duration
	From, To                                         time.Time
	DialectConfidence                                float64
	CapturePath                                      string
	// Refusal says why the port could not be opened, and what to do; empty when it was opened.
	Refusal string
	// CaptureError says why the raw capture is not being written, when it is not.
	CaptureError string
}

// Batch is what came since the last one, oldest first. It belongs to the receiver.
type Batch struct {
	Readings []livelevel.Reading
	// Raw are the last raw lines as they came, at most 64, for the teach-in screen.
	Raw   []string
	Stats Stats
	// End is set on the last batch: io.EOF at the end of a file, port.ErrClosed after Close, else why.
	End error
}

// spares bounds how many batches that were given back are kept.
const spares = 20

// Feed is a running feed.
type Feed struct {
	stop   context.CancelFunc
	out    chan Batch
	done   chan struct{}
	mu     sync.Mutex // guards what follows
	rec    *recorder
	change *dialect.Dialect // asked for by SetDialect
	force  dialect.Dialect
	sure   float64
	known  bool
	latest dialect.Proposal
	spare  chan []livelevel.Reading // batches that were given back
}

// Start opens the port in the background and returns at once; a port that cannot be opened shows as
// a Reading of kind Refused (and, when it cannot come back, as End).
func Start(ctx context.Context, open port.Opener, opt Options) *Feed {
	ctx, stop := context.WithCancel(ctx)
	f := &Feed{stop: stop, out: make(chan Batch, 16), done: make(chan struct{}), spare: make(chan []livelevel.Reading, spares)}
	length := queueLength
	if opt.Lossless {
		length = queueOfLog
	}
	r := newReader(open, length)
	w := newWorker(ctx, f, open, opt)
	w.taken = r.taken
	go r.run(ctx)
	go w.run(r.out)
	return f
}

// Batches is closed after the batch that carries End.
func (f *Feed) Batches() <-chan Batch { return f.out }

// Recycle gives a batch's readings back to be filled anew: the receiver must not look at them again. It
// may be left out; it spares the memory of a week-long log the sweeping.
func (f *Feed) Recycle(b Batch) {
	select {
	case f.spare <- b.Readings[:0]:
	default:
	}
}

// Dialect returns the dialect in force, its confidence 0..1, and whether one is settled yet.
func (f *Feed) Dialect() (d dialect.Dialect, confidence float64, settled bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.force, f.sure, f.known
}

// Proposal is the last one that the learner made: its columns, roles and doubts, for the teach-in.
func (f *Feed) Proposal() dialect.Proposal {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.latest
}

// SetDialect changes the dialect for what comes from now on.
func (f *Feed) SetDialect(d dialect.Dialect) error {
	if _, err := dialect.NewDecoder(d); err != nil {
		return err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	f.change = &d
	f.force, f.sure, f.known = d, 1, true
	return nil
}

func (f *Feed) asked() *dialect.Dialect {
	f.mu.Lock()
	defer f.mu.Unlock()
	d := f.change
	f.change = nil
	return d
}

func (f *Feed) settle(d dialect.Dialect, sure float64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.force, f.sure, f.known = d, sure, true
}

func (f *Feed) propose(p dialect.Proposal) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.latest = p
}

func (f *Feed) recorder() *recorder {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.rec
}

// Sync forces the raw capture to disk and returns its name, length and hash up to there, for an
// event that cites it; empty without a capture.
func (f *Feed) Sync() (Citation, error) {
	if r := f.recorder(); r != nil {
		return r.cite()
	}
	return Citation{}, nil
}

// Close ends the feed; the last batch carries port.ErrClosed. It returns when the capture is on disk.
func (f *Feed) Close() error {
	f.stop()
	<-f.done
	if r := f.recorder(); r != nil {
		return r.close()
	}
	return nil
}

// Citation names a prefix of a raw capture.
type Citation struct {
	Path   string `json:"path"`
	Length int64  `json:"length"`
	SHA256 string `json:"sha256"`
}
