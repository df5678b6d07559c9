package feed

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"example.org/tankhand/livelevel/port"
)

// Bounds of a capture: each part, and how many parts are kept before the oldest goes.
const (
	maxPart  = 64 << 20
	maxParts = 32
)

// recorder writes the raw capture. Only the worker writes; Sync may be called by anybody.
type recorder struct {
	mu      sync.Mutex
	dir     string
	stem    string
	f       *os.File
	path    string
	parts   []string
	header  port.CaptureHeader
	hash    hash.Hash
	length  int64
	synced  time.Time
	dirty   bool
	limit   int64
	dropped string
}

// newRecorder starts a capture file in dir; times count from started.
func newRecorder(dir string, info port.Info, started time.Time) (*recorder, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("making the folder for raw captures: %w", err)
	}
	r := &recorder{dir: dir, limit: maxPart, synced: time.Now()}
	r.stem = started.UTC().Format("20060102-150405") + "-" + fileWord(info.Source)
	r.header = port.CaptureHeader{Schema: port.CaptureSchema, Source: info.Source, Baud: info.Baud, Started: started.UTC()}
	if info.ClockRate > 1 {
		r.header.ClockRate = info.ClockRate
	}
	return r, r.open()
}

// fileWord keeps of a name what is safe in a file name.
func fileWord(s string) string {
	s = strings.Map(func(c rune) rune {
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' {
			return c
		}
		return '-'
	}, s)
	s = strings.Trim(s, "-")
	if len(s) > 40 {
		s = s[len(s)-40:]
	}
	return s
}

// open starts the next part.
func (r *recorder) open() error {
	r.header.Part++
	r.header.Dropped = r.dropped
	for try := 0; ; try++ {
		name := r.stem
		if try > 0 {
			name += fmt.Sprintf("-%d", try)
		}
		if r.header.Part > 1 {
			name += fmt.Sprintf(".part-%d", r.header.Part)
		}
		path := filepath.Join(r.dir, name+".jsonl")
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if errors.Is(err, os.ErrExist) && try < 1000 {
			continue
		}
		if err != nil {
			return fmt.Errorf("starting a raw capture: %w", err)
		}
		if r.header.Part == 1 && try > 0 {
			r.stem = name
		}
		r.f, r.path, r.hash, r.length = f, path, sha256.New(), 0
		r.parts = append(r.parts, path)
		return r.put(r.header)
	}
}

// put writes one line.
func (r *recorder) put(v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("writing the raw capture %s: %w", r.path, err)
	}
	b = append(b, '\n')
	n, err := r.f.Write(b)
	r.hash.Write(b[:n])
	r.length += int64(n)
	r.dirty = true
	if err != nil {
		return fmt.Errorf("writing the raw capture %s: %w (make room on the disk)", r.path, err)
	}
	return nil
}

// record writes a chunk or an event; once a second it is forced to disk.
func (r *recorder) record(c chunk) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.f == nil {
		return nil
	}
	ms := float64(c.at.Sub(r.header.Started).Microseconds()) / 1000
	if len(c.data) > 0 || c.event != "" {
		if err := r.put(port.CaptureRecord{Ms: ms, Data: port.EncodeBytes(c.data), Event: c.event}); err != nil {
			return err
		}
	}
	if r.dirty && time.Since(r.synced) >= time.Second {
		if err := r.sync(); err != nil {
			return err
		}
	}
	if r.length < r.limit {
		return nil
	}
	return r.rotate()
}

// rotate closes this part and starts the next; what the bound drops is named in its header.
func (r *recorder) rotate() error {
	err := errors.Join(r.sync(), r.f.Close())
	r.f = nil
	if len(r.parts) >= maxParts {
		r.dropped = filepath.Base(r.parts[0]) + " and before"
		err = errors.Join(err, os.Remove(r.parts[0]))
		r.parts = r.parts[1:]
	}
	return errors.Join(err, r.open())
}

func (r *recorder) sync() error {
	r.synced, r.dirty = time.Now(), false
	if err := r.f.Sync(); err != nil {
		return fmt.Errorf("forcing the raw capture %s to disk: %w", r.path, err)
	}
	return nil
}

// cite forces the capture to disk and names it.
func (r *recorder) cite() (Citation, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.f != nil {
		if err := r.sync(); err != nil {
			return Citation{}, err
		}
	}
	return Citation{Path: r.path, Length: r.length, SHA256: hex.EncodeToString(r.hash.Sum(nil))}, nil
}

func (r *recorder) close() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.f == nil {
		return nil
	}
	err := errors.Join(r.sync(), r.f.Close())
	r.f = nil
	return err
}

func (r *recorder) name() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.path
}
