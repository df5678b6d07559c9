package visit

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"path/filepath"

	"example.org/tankhand/livelevel/feed"
)

// BundleSchema names the file in which visits travel: JSON Lines, the first names the schema, the
// last carries the SHA-256 of all bytes before it.
const BundleSchema = "tankhand/bundle/1"

// Bounds of a bundle: it may come from anybody.
const (
	maxBundleLine  = 2*MaxBody + 4096
	maxBundleLines = 20_000_000
	captureChunk   = 256 << 10
)

// bundleLine is one line; exactly one part is set.
type bundleLine struct {
	Schema  string          `json:"schema,omitempty"`
	Visits  int             `json:"visits,omitempty"`
	Event   *Event          `json:"event,omitempty"`
	Capture *captureChunkOf `json:"capture,omitempty"`
	SHA256  string          `json:"sha256,omitempty"`
	Lines   int64           `json:"lines,omitempty"`
}

// captureChunkOf is a piece of a raw capture, in order.
type captureChunkOf struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"` // of the whole capture
	Length int64  `json:"length"` // of the whole capture
	Offset int64  `json:"offset"`
	Data   []byte `json:"data"`
}

// Exported says what went into a bundle; Missing are captures that could not, and why.
type Exported struct {
	Visits, Events, Captures int
	Missing                  []string
}

type bundleWriter struct {
	w     *bufio.Writer
	sum   hash.Hash
	lines int64
}

func (b *bundleWriter) line(l bundleLine) error {
	raw, err := json.Marshal(l)
	if err != nil {
		return err
	}
	raw = append(raw, '\n')
	b.sum.Write(raw)
	b.lines++
	_, err = b.w.Write(raw)
	return err
}

// end writes the last line and hands everything over.
func (b *bundleWriter) end() error {
	if err := b.line(bundleLine{SHA256: hex.EncodeToString(b.sum.Sum(nil)), Lines: b.lines}); err != nil {
		return err
	}
	return b.w.Flush()
}

// Export writes visits as one bundle. Captures go along only where open is given: a boot log may
// hold passwords.
func Export(ctx context.Context, s Store, w io.Writer, ids []string, open func(path string) (io.ReadCloser, error)) (Exported, error) {
	b := &bundleWriter{w: bufio.NewWriter(w), sum: sha256.New()}
	out, err := b.visits(ctx, s, ids, open)
	if err == nil {
		err = b.end()
	}
	if err != nil {
		return out, fmt.Errorf("exporting visits: %w (the bundle is not whole: delete it and try again)", err)
	}
	return out, nil
}

func (b *bundleWriter) visits(ctx context.Context, s Store, ids []string, open func(string) (io.ReadCloser, error)) (out Exported, err error) {
	if err := b.line(bundleLine{Schema: BundleSchema, Visits: len(ids)}); err != nil {
		return out, err
	}
	var cited []feed.Citation
	for _, id := range ids {
		events, err := s.Events(ctx, id)
		if err != nil {
			return out, err
		}
		v, err := Fold(events)
		if err != nil {
			return out, fmt.Errorf("visit %s: %w", id, ErrNoVisit)
		}
		for i := range events {
			if err := b.line(bundleLine{Event: &events[i]}); err != nil {
				return out, err
			}
		}
		out.Visits++
		out.Events += len(events)
		cited = append(cited, v.Captures()...)
	}
	return out, b.captures(cited, open, &out)
}

func (b *bundleWriter) captures(cited []feed.Citation, open func(string) (io.ReadCloser, error), out *Exported) error {
	if open == nil {
		return nil
	}
	done := map[string]bool{}
	for _, c := range cited {
		if done[c.SHA256] {
			continue
		}
		done[c.SHA256] = true
		if err := checkCapture(c, open); err != nil {
			out.Missing = append(out.Missing, fmt.Sprintf("%s: %v", c.Path, err))
			continue
		}
		if err := b.capture(c, open); err != nil {
			return err
		}
		out.Captures++
	}
	return nil
}

// checkCapture reads the cited prefix once, so that a changed file does not spoil half a bundle.
func checkCapture(c feed.Citation, open func(string) (io.ReadCloser, error)) error {
	f, err := open(c.Path)
	if err != nil {
		return err
	}
	defer f.Close()
	sum := sha256.New()
	if n, err := io.Copy(sum, io.LimitReader(f, c.Length)); err != nil || n != c.Length {
		return errors.Join(fmt.Errorf("%d bytes of %d are there", n, c.Length), err)
	}
	if hex.EncodeToString(sum.Sum(nil)) != c.SHA256 {
		return errors.New("it is not what the visit cited")
	}
	return nil
}

func (b *bundleWriter) capture(c feed.Citation, open func(string) (io.ReadCloser, error)) error {
	f, err := open(c.Path)
	if err != nil {
		return err
	}
	defer f.Close()
	buf := make([]byte, captureChunk)
	for at := int64(0); at < c.Length; {
		n, err := io.ReadFull(f, buf[:min(captureChunk, c.Length-at)])
		if err != nil {
			return err
		}
		k := captureChunkOf{Name: filepath.Base(c.Path), SHA256: c.SHA256, Length: c.Length, Offset: at, Data: buf[:n]}
		if err := b.line(bundleLine{Capture: &k}); err != nil {
			return err
		}
		at += int64(n)
	}
	return nil
}
