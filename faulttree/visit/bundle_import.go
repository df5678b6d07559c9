package visit

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// Imported says what a bundle brought: events that were new, known already, or of visits that were
// erased here.
type Imported struct {
	Visits, New, Known, Purged, Captures int
}

// CaptureSink takes the pieces of raw captures in order; last is true with the final piece.
type CaptureSink func(name, sha256 string, offset int64, data []byte, last bool) error

var errNotWhole = errors.New("the bundle is not whole or was changed")

// Import takes a bundle into a store: first the whole file is checked, then events are added. The
// same bundle again adds nothing. Captures are passed over where sink is nil.
func Import(ctx context.Context, r io.ReadSeeker, to Store, sink CaptureSink) (Imported, error) {
	out, err := importBundle(ctx, r, to, sink)
	if err != nil {
		return out, fmt.Errorf("importing a bundle: %w", err)
	}
	return out, nil
}

func importBundle(ctx context.Context, r io.ReadSeeker, to Store, sink CaptureSink) (out Imported, err error) {
	if err := eachLine(r, func(bundleLine) error { return nil }); err != nil {
		return out, err
	}
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return out, err
	}
	in := importer{ctx: ctx, to: to, sink: sink}
	if err := eachLine(r, in.take); err != nil {
		return in.out, err
	}
	return in.out, in.flush()
}

// eachLine reads a bundle to its end and checks all that can be checked without a store.
func eachLine(r io.Reader, f func(bundleLine) error) error {
	in := bufio.NewScanner(r)
	in.Buffer(make([]byte, 64<<10), maxBundleLine)
	sum := sha256.New()
	for n := int64(1); in.Scan(); n++ {
		var l bundleLine
		if err := json.Unmarshal(in.Bytes(), &l); err != nil {
			return fmt.Errorf("line %d: %w: %w", n, errNotWhole, err)
		}
		switch {
		case n > maxBundleLines:
			return fmt.Errorf("line %d: %w: it is too long", n, errNotWhole)
		case n == 1 && l.Schema != BundleSchema:
			return fmt.Errorf("line 1: its schema is %.40q, this program reads %q", l.Schema, BundleSchema)
		case n > 1 && l.SHA256 != "":
			return lastLine(in, l, n, hex.EncodeToString(sum.Sum(nil)))
		}
		if err := l.valid(); err != nil {
			return fmt.Errorf("line %d: %w", n, err)
		}
		if err := f(l); err != nil {
			return fmt.Errorf("line %d: %w", n, err)
		}
		sum.Write(in.Bytes())
		sum.Write([]byte{'\n'})
	}
	if err := in.Err(); err != nil {
		return fmt.Errorf("%w: %w", errNotWhole, err)
	}
	return fmt.Errorf("%w: its last line is missing (copy it again)", errNotWhole)
}

func lastLine(in *bufio.Scanner, l bundleLine, n int64, sum string) error {
	if l.SHA256 != sum || l.Lines != n-1 {
		return fmt.Errorf("line %d: %w: its checksum does not agree (copy it again)", n, errNotWhole)
	}
	if in.Scan() {
		return fmt.Errorf("line %d: %w: something follows its last line", n+1, errNotWhole)
	}
	return in.Err()
}

func (l *bundleLine) valid() error {
	if l.Event != nil {
		return l.Event.valid()
	}
	if c := l.Capture; c != nil && (c.Offset < 0 || c.Length < 1 || c.Offset+int64(len(c.Data)) > c.Length || len(c.Data) == 0 || len(c.SHA256) != 64) {
		return errors.New("a piece of a capture is out of its bounds")
	}
	return nil
}

type importer struct {
	ctx   context.Context
	to    Store
	sink  CaptureSink
	batch []Event // of one visit
	out   Imported
}

func (in *importer) take(l bundleLine) error {
	switch {
	case l.Event != nil:
		if len(in.batch) > 0 && in.batch[0].Visit != l.Event.Visit {
			if err := in.flush(); err != nil {
				return err
			}
		}
		in.batch = append(in.batch, *l.Event)
	case l.Capture != nil && in.sink != nil:
		c := l.Capture
		last := c.Offset+int64(len(c.Data)) == c.Length
		if last {
			in.out.Captures++
		}
		return in.sink(c.Name, c.SHA256, c.Offset, c.Data, last)
	}
	return nil
}

// flush adds what is new of the batch.
func (in *importer) flush() error {
	if len(in.batch) == 0 {
		return nil
	}
	batch := in.batch
	in.batch = nil
	for try := 0; ; try++ {
		fresh, err := in.fresh(batch)
		if err == nil && len(fresh) > 0 {
			err = in.to.Append(in.ctx, fresh...)
		}
		if errors.Is(err, ErrPurged) {
			in.out.Purged += len(batch)
			return nil
		}
		if errors.Is(err, ErrConflict) && try < 3 {
			continue // somebody wrote to the visit in between: look again
		}
		if err == nil {
			in.out.Visits++
			in.out.New += len(fresh)
			in.out.Known += len(batch) - len(fresh)
		}
		return err
	}
}

// fresh are the events that the store does not have, by id. One whose place is taken, because the
// visit was carried on in two places, goes behind the last: both are kept.
func (in *importer) fresh(batch []Event) ([]Event, error) {
	there, err := in.to.Events(in.ctx, batch[0].Visit)
	if err != nil {
		return nil, err
	}
	ids, seqs, last := map[string]bool{}, map[int64]bool{}, int64(0)
	for _, e := range there {
		ids[e.ID], seqs[e.Seq] = true, true
		last = max(last, e.Seq)
	}
	for _, e := range batch {
		last = max(last, e.Seq)
	}
	var out []Event
	for _, e := range batch {
		if ids[e.ID] {
			continue
		}
		if seqs[e.Seq] {
			last++
			e.Seq = last
		}
		ids[e.ID], seqs[e.Seq] = true, true
		out = append(out, e)
	}
	return out, nil
}
