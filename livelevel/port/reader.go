package port

import (
	"errors"
	"io"
	"sync"
	"time"
)

// readStream makes a Stream of a blocking reader. A goroutine reads ahead into a few buffers, so that
// waiting for bytes can end in silence, and a read that brings nothing is no error.
type readStream struct {
	full    chan piece
	free    chan []byte
	closing chan struct{}
	once    sync.Once
	release func() error
	clock   *clock
	timer   *time.Timer
	lent    []byte
	err     error
	lost    error // what the end of the bytes means: io.EOF for a file, ErrLost for a port
	name    string
}

type piece struct {
	data []byte
	at   time.Time
	err  error
}

const (
	readAhead  = 4
	bufferSize = 4096
)

func newReadStream(name string, r io.Reader, release func() error, c *clock, lost error) *readStream {
	s := &readStream{name: name, full: make(chan piece, readAhead), free: make(chan []byte, readAhead),
		closing: make(chan struct{}), release: release, clock: c, timer: time.NewTimer(time.Hour), lost: lost}
	for range readAhead {
		s.free <- make([]byte, bufferSize)
	}
	go s.read(r)
	return s
}

// read never waits for Next longer than the buffers last; what then waits is the device's own buffer.
func (s *readStream) read(r io.Reader) {
	for {
		var buf []byte
		select {
		case buf = <-s.free:
		case <-s.closing:
			return
		}
		n, err := r.Read(buf)
		p := piece{data: buf[:n], at: s.clock.now(), err: err}
		if n == 0 && err == nil { // a time-out of the device: silence
			s.free <- buf
			continue
		}
		select {
		case s.full <- p:
		case <-s.closing:
			return
		}
		if err != nil {
			return
		}
	}
}

// Next implements Stream.
func (s *readStream) Next() (Chunk, error) {
	if s.lent != nil {
		s.free <- s.lent[:cap(s.lent)]
		s.lent = nil
	}
	if s.err != nil {
		return Chunk{At: s.clock.now()}, s.err
	}
	s.timer.Reset(s.clock.patience())
	select {
	case p := <-s.full:
		return s.take(p)
	case <-s.timer.C:
		return Chunk{At: s.clock.now()}, nil
	case <-s.closing:
		s.err = ErrClosed
		return Chunk{At: s.clock.now()}, s.err
	}
}

func (s *readStream) take(p piece) (Chunk, error) {
	if p.err != nil {
		s.err = s.ended(p.err)
	}
	if len(p.data) > 0 {
		s.lent = p.data
		return Chunk{At: p.at, Data: p.data}, nil
	}
	s.free <- p.data[:cap(p.data)]
	return Chunk{At: p.at}, s.err
}

// ended tells our own close from a device that went away: both look the same to the reader.
func (s *readStream) ended(err error) error {
	select {
	case <-s.closing:
		return ErrClosed
	default:
	}
	if errors.Is(s.lost, io.EOF) {
		if errors.Is(err, io.EOF) {
			return io.EOF
		}
		return wrap("reading", s.name, err)
	}
	return &Refusal{Doing: "reading", Source: s.name, Kind: s.lost, Cause: err,
		Do: "check the cable; it is taken up again when it comes back"}
}

// Close implements Stream.
func (s *readStream) Close() error {
	var err error
	s.once.Do(func() {
		close(s.closing)
		if s.release != nil {
			err = s.release()
		}
	})
	return err
}
