// Package feed reads a port in the background: raw capture first, then the dialect, then batches of
// readings. It owns reopening and says lost and back.
package feed

import (
	"context"
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
}

// Stats are running totals of the whole feed.
type Stats struct {
	Source                                           string
	Times                                            livelevel.Times
	Bytes, Lines, Readings, Rejected, Restarts, Gaps int64
	Dropped                                          int64 // decoded batches that a slow consumer cost
	LongestGap                                       time.Duration
	From, To                                         time.Time
	DialectConfidence                                float64
	CapturePath                                      string
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

// Feed is a running feed.
type Feed struct{}

// Start opens the port in the background and returns at once; a port that cannot be opened shows as
// a Reading of kind Refused (and, when it cannot come back, as End).
func Start(ctx context.Context, open port.Opener, opt Options) *Feed { return &Feed{} }

// Batches is closed after the batch that carries End.
func (f *Feed) Batches() <-chan Batch { return nil }

// Dialect returns the dialect in force, its confidence 0..1, and whether one is settled yet.
func (f *Feed) Dialect() (d dialect.Dialect, confidence float64, settled bool) { return }

// SetDialect changes the dialect for what comes from now on.
func (f *Feed) SetDialect(d dialect.Dialect) error { return nil }

// Sync forces the raw capture to disk and returns its name, length and hash up to there, for an
// event that cites it; empty without a capture.
func (f *Feed) Sync() (Citation, error) { return Citation{}, nil }

// Close ends the feed; the last batch carries port.ErrClosed.
func (f *Feed) Close() error { return nil }

// Citation names a prefix of a raw capture.
type Citation struct {
	Path   string `json:"path"`
	Length int64  `json:"length"`
	SHA256 string `json:"sha256"`
}
