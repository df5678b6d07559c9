package port

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"sync"
	"sync/atomic"
	"time"

	"example.org/tankhand/livelevel"
)

// filePort reads a log or a capture.
type filePort struct {
	path string
	opt  Options
	size int64        // of the file; 0: not known
	read atomic.Int64 // of it so far
	mu   sync.Mutex
	info Info
}

// Measured is an opener that knows how far through its source it is.
type Measured interface {
	// Read gives the bytes read so far and all there are, both as the file lies on the disk, packed or
	// not; 0 of 0 where that is not known.
	Read() (done, all int64)
}

// Read implements Measured.
func (p *filePort) Read() (done, all int64) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return min(p.read.Load(), p.size), p.size
}

// counted adds up what is read.
type counted struct {
	r    io.Reader
	done *atomic.Int64
}

func (c counted) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.done.Add(int64(n))
	return n, err
}

// File is the opener of a raw log or a raw capture, gzip or not; "-" is standard input. It is looked at
// here to know which of the two it is, so that Info is right before the first opening.
func File(path string, o Options) Opener {
	p := &filePort{path: path, opt: o}
	p.info = Info{Source: path, Times: livelevel.NoTimes}
	if path == "-" {
		p.info.Source = "standard input"
	} else if f, err := os.Open(path); err == nil {
		if in, _, err := unpack(f, path); err == nil {
			p.describe(in)
		}
		f.Close()
	}
	if o.Follow && p.info.Times == livelevel.NoTimes {
		p.info.Live, p.info.Times = true, livelevel.ByArrival
	}
	return p
}

// Info implements Opener.
func (p *filePort) Info() Info {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.info
}

// describe looks at the first line without taking it.
func (p *filePort) describe(in *bufio.Reader) (CaptureHeader, bool) {
	head, _ := in.Peek(bufferSize)
	if i := bytes.IndexByte(head, '\n'); i >= 0 {
		head = head[:i]
	}
	h, ok := ReadCaptureHeader(head)
	if ok {
		p.mu.Lock()
		p.info.Times, p.info.Live = livelevel.ByArrival, false
		p.info.ClockRate = h.ClockRate
		if h.Baud != 0 {
			p.info.Baud = h.Baud
		}
		p.mu.Unlock()
	}
	return h, ok
}

// Open implements Opener.
func (p *filePort) Open(ctx context.Context) (Stream, error) {
	if ctx.Err() != nil {
		return nil, ErrClosed
	}
	f := os.Stdin
	if p.path != "-" {
		var err error
		if f, err = os.Open(p.path); err != nil {
			return nil, refusedFile(p.path, err)
		}
		if fi, err := f.Stat(); err == nil {
			if fi.IsDir() {
				f.Close()
				return nil, refusedFile(p.path, errors.New("it is a folder"))
			}
			p.measure(fi)
		}
	}
	return p.open(f)
}

func (p *filePort) open(f *os.File) (Stream, error) {
	p.read.Store(0)
	in, packed, err := unpack(counted{f, &p.read}, p.path)
	if err != nil {
		f.Close()
		return nil, err
	}
	h, capture := p.describe(in)
	var src io.Reader = in
	closing := make(chan struct{})
	if p.opt.Follow && !packed {
		if !capture && p.path != "-" {
			if _, err := f.Seek(0, io.SeekEnd); err != nil {
				f.Close()
				return nil, wrap("following", p.path, err)
			}
			in.Reset(f)
		}
		src = &follower{f: f, in: in, closing: closing}
	}
	release := sync.OnceValue(func() error { close(closing); return f.Close() })
	if capture {
		cin := bufio.NewReaderSize(src, 64<<10)
		if _, err := readBounded(cin, maxRecord); err != nil {
			release()
			return nil, wrap("reading", p.path, err)
		}
		return newCaptureStream(p.path, cin, h, p.opt.ClockRate, release), nil
	}
	if p.opt.Follow {
		return newReadStream(p.path, src, release, newClock(1), io.EOF), nil
	}
	return &logStream{name: p.info.Source, in: src, release: release}, nil
}

// measure notes how long the file is; what is still being written has no end yet.
func (p *filePort) measure(fi fs.FileInfo) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.size = 0; fi.Mode().IsRegular() && !p.opt.Follow {
		p.size = fi.Size()
	}
}

func refusedFile(path string, err error) error {
	kind, do := ErrNoPort, "check the name"
	if errors.Is(err, fs.ErrPermission) {
		kind, do = ErrNoRight, "ask for the right to read it"
	}
	return &Refusal{Doing: "opening", Source: path, Kind: kind, Cause: err, Do: do}
}

// maxUnpacked bounds what one gzip file may grow to: months of a feed, and an end for a hostile one.
const maxUnpacked = 16 << 30

// unpack reads gzip as it is.
func unpack(f io.Reader, path string) (in *bufio.Reader, packed bool, err error) {
	in = bufio.NewReaderSize(f, 64<<10)
	head, _ := in.Peek(2)
	if len(head) < 2 || head[0] != 0x1f || head[1] != 0x8b {
		return in, false, nil
	}
	z, err := gzip.NewReader(in)
	if err != nil {
		return nil, true, wrap("unpacking", path, err)
	}
	return bufio.NewReaderSize(&bounded{r: z, left: maxUnpacked, name: path}, 64<<10), true, nil
}

// bounded ends with an error, not silently, where too much comes.
type bounded struct {
	r    io.Reader
	left int64
	name string
}

func (b *bounded) Read(p []byte) (int, error) {
	if b.left <= 0 {
		return 0, fmt.Errorf("unpacking %s: more than %d GiB (cut it into pieces)", b.name, maxUnpacked>>30)
	}
	n, err := b.r.Read(p[:min(int64(len(p)), b.left)])
	b.left -= int64(n)
	if errors.Is(err, io.ErrUnexpectedEOF) { // a file that was cut while it was written
		err = io.EOF
	}
	return n, err
}

// logStream reads a raw log, which has no times of its own: its chunks have the zero time.
type logStream struct {
	name    string
	in      io.Reader
	release func() error
	mu      sync.Mutex
	closed  bool
	buf     [16 << 10]byte
	err     error
}

// Next implements Stream.
func (s *logStream) Next() (Chunk, error) {
	for s.err == nil {
		n, err := s.in.Read(s.buf[:])
		if err != nil {
			s.err = ended(s.name, err)
		}
		s.mu.Lock()
		if s.closed {
			s.err = ErrClosed
		}
		s.mu.Unlock()
		if n > 0 && !errors.Is(s.err, ErrClosed) {
			return Chunk{Data: s.buf[:n]}, nil
		}
	}
	return Chunk{}, s.err
}

// Close implements Stream.
func (s *logStream) Close() error {
	s.mu.Lock()
	s.closed = true
	s.mu.Unlock()
	return s.release()
}

// follower waits at the end of a file for more, and starts again when the file was cut short.
type follower struct {
	f       *os.File
	in      *bufio.Reader
	closing chan struct{}
}

const followEvery = 100 * time.Millisecond

func (w *follower) Read(p []byte) (int, error) {
	for {
		n, err := w.in.Read(p)
		if n > 0 || err != nil && !errors.Is(err, io.EOF) {
			return n, err
		}
		select {
		case <-w.closing:
			return 0, io.EOF
		case <-time.After(followEvery):
		}
		w.restart()
		w.in.Reset(w.f)
	}
}

// restart goes to the start of a file that is now shorter than what was read: it was emptied.
func (w *follower) restart() {
	at, err := w.f.Seek(0, io.SeekCurrent)
	if err != nil {
		return
	}
	if fi, err := w.f.Stat(); err == nil && fi.Mode().IsRegular() && fi.Size() < at {
		_, _ = w.f.Seek(0, io.SeekStart)
	}
}
