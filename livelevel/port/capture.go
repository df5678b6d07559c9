package port

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"sync"
	"time"
)

// CaptureSchema names the format of a raw capture: JSON Lines, a header first, then records.
const CaptureSchema = "tankhand/capture/1"

// CaptureHeader is the first line of each part of a raw capture.
type CaptureHeader struct {
	Schema  string    `json:"schema"`
	Source  string    `json:"source"`
	Baud    int       `json:"baud,omitempty"`
	Started time.Time `json:"started"`
	Part    int       `json:"part"`
	// ClockRate is there when the times of the recording went faster than the world's clock.
	ClockRate float64 `json:"clock_rate,omitempty"`
	// Dropped names what the size bound has cost so far: the parts that were removed.
	Dropped string `json:"dropped,omitempty"`
}

// CaptureRecord is bytes, or an event, and when: milliseconds from Started. Each byte is the code point
// of its value, so nothing is lost and a person can read it.
type CaptureRecord struct {
	Ms    float64 `json:"ms"`
	Data  string  `json:"data,omitempty"`
	Event string  `json:"event,omitempty"`
}

// maxRecord bounds one line of a capture.
const maxRecord = 1 << 20

// EncodeBytes writes each byte as the code point of its value.
func EncodeBytes(b []byte) string {
	r := make([]rune, len(b))
	for i, c := range b {
		r[i] = rune(c)
	}
	return string(r)
}

// DecodeBytes appends the bytes that s stands for to dst; a code point above U+00FF is no byte.
func DecodeBytes(dst []byte, s string) ([]byte, error) {
	for _, r := range s {
		if r > 0xff {
			return dst, fmt.Errorf("decoding capture data: %U is no byte (only U+0000 to U+00FF stand for one)", r)
		}
		dst = append(dst, byte(r))
	}
	return dst, nil
}

// ReadCaptureHeader reads the first line, and says whether the file is a capture at all.
func ReadCaptureHeader(line []byte) (h CaptureHeader, ok bool) {
	err := json.Unmarshal(line, &h)
	return h, err == nil && h.Schema == CaptureSchema
}

// captureStream replays a capture: at its own pace, faster, or at once.
type captureStream struct {
	name    string
	in      *bufio.Reader
	release func() error
	rate    float64
	started time.Time
	at      time.Time // of the replay
	next    capRecord
	waits   bool // next was read and not yet handed over
	wall    time.Time
	first   time.Time
	closing chan struct{}
	once    sync.Once
	err     error
}

func newCaptureStream(name string, in *bufio.Reader, h CaptureHeader, rate float64, release func() error) *captureStream {
	if rate <= 0 || math.IsNaN(rate) {
		rate = AtOnce
	}
	return &captureStream{name: name, in: in, release: release, rate: rate, started: h.Started.Local(), at: h.Started.Local(),
		closing: make(chan struct{})}
}

// replaySilence is the step in which a pause of the capture is handed over, in its own time.
const replaySilence = time.Second

// Next implements Stream. A pause is handed over as silence, so that it can be judged.
func (s *captureStream) Next() (Chunk, error) {
	if s.err == nil && !s.waits {
		s.err = s.record()
		s.waits = s.err == nil
	}
	if s.err != nil {
		return Chunk{At: s.at}, s.err
	}
	at := s.started.Add(time.Duration(s.next.ms * float64(time.Millisecond)))
	if at.Before(s.at) {
		at = s.at // a clock that stepped back
	}
	step := at.Sub(s.at) > replaySilence
	if step {
		at = s.at.Add(replaySilence)
	}
	if !s.wait(at) {
		s.err = ErrClosed
		return Chunk{At: s.at}, s.err
	}
	s.at = at
	if step {
		return Chunk{At: at}, nil
	}
	s.waits = false
	return Chunk{At: at, Data: s.next.data, Event: s.next.event}, nil
}

// record reads the next record. A cut last line is tolerated; a damaged one in between is passed on as
// an event, because the rest is still good.
func (s *captureStream) record() error {
	line, err := readBounded(s.in, maxRecord)
	if err != nil && !errors.Is(err, errLong) {
		if len(line) > 0 && errors.Is(err, io.EOF) && s.next.read(line) == nil {
			return nil
		}
		return ended(s.name, err)
	}
	if err == nil && s.next.read(line) == nil {
		return nil
	}
	s.next = capRecord{data: s.next.data[:0]}
	if h, ok := ReadCaptureHeader(line); ok { // parts put together
		s.started = h.Started.Local()
		return nil
	}
	s.next.ms = max(0, float64(s.at.Sub(s.started))/float64(time.Millisecond))
	s.next.event = damaged
	return nil
}

func ended(name string, err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return io.EOF
	}
	return wrap("reading", name, err)
}

// wait until the world's clock has come to the time of the replay; false when closed.
func (s *captureStream) wait(at time.Time) bool {
	select {
	case <-s.closing:
		return false
	default:
	}
	if math.IsInf(s.rate, 1) {
		return true
	}
	if s.wall.IsZero() {
		s.wall, s.first = time.Now(), at
	}
	due := time.Until(s.wall.Add(time.Duration(float64(at.Sub(s.first)) / s.rate)))
	return due <= 0 || sleep(due, s.closing)
}

// Close implements Stream.
func (s *captureStream) Close() error {
	var err error
	s.once.Do(func() {
		close(s.closing)
		err = s.release()
	})
	return err
}

var errLong = errors.New("the line is too long")

// readBounded reads one line without its end; it is good until the next one is read. A line over the bound is
// read to its end and dropped.
func readBounded(in *bufio.Reader, bound int) ([]byte, error) {
	whole, err := in.ReadSlice('\n')
	if !errors.Is(err, bufio.ErrBufferFull) {
		return whole, err
	}
	line, long := bytes.Clone(whole), false
	for errors.Is(err, bufio.ErrBufferFull) {
		var part []byte
		part, err = in.ReadSlice('\n')
		if len(line)+len(part) > bound {
			long, line = true, line[:0]
		}
		if !long {
			line = append(line, part...)
		}
	}
	if err == nil && long {
		err = errLong
	}
	return line, err
}
