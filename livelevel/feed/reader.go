package feed

import (
	"context"
	"errors"
	"io"
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/port"
)

// chunk is what the reader hands to the worker: bytes, silence, or an event of the port.
type chunk struct {
	at    time.Time
	data  []byte
	event string
	kind  livelevel.Kind // Opened, Lost, Back or Refused; Report for bytes, Tick for silence
	text  string
	why   string // of a refusal, in the words for a technician
	end   error
	baud  int
}

const (
	queueLength = 1024 // chunks between reader and worker: up to 4 MB of a port
	queueOfLog  = 8    // of a log, which waits where a port does not, and comes in larger chunks
	pollEvery   = 500 * time.Millisecond
)

// reader moves bytes from the port to memory and nothing else, so that no slow consumer costs bytes.
// It opens the port again when it was lost.
type reader struct {
	open  port.Opener
	out   chan chunk
	now   func() time.Time
	spare chan []byte // of chunks that were taken
	lost  bool
	tries string // the last refusal that was said
}

func newReader(open port.Opener, length int) *reader {
	r := &reader{open: open, out: make(chan chunk, length), now: time.Now, spare: make(chan []byte, queueOfLog)}
	if c, ok := open.(port.Clock); ok {
		r.now = c.Now
	}
	return r
}

func (r *reader) run(ctx context.Context) {
	defer close(r.out)
	for {
		s, err := r.open.Open(ctx)
		if ctx.Err() != nil {
			if err == nil {
				s.Close()
			}
			r.out <- chunk{at: r.now(), end: port.ErrClosed}
			return
		}
		if err == nil {
			err = r.listen(ctx, s)
		} else if !r.refused(err) {
			return
		}
		if r.over(ctx, err) {
			return
		}
		select {
		case <-time.After(pollEvery):
		case <-ctx.Done():
		}
	}
}

// refused says once why the port cannot be opened, then lets time pass; false when that is the end.
func (r *reader) refused(err error) bool {
	word := port.Word(err)
	at := r.now()
	if !r.open.Info().Live {
		at = time.Time{}
	}
	c := chunk{at: at, kind: livelevel.Tick}
	if r.tries != word && !r.lost {
		r.tries = word
		c.kind, c.text, c.why = livelevel.Refused, word, err.Error()
	}
	if !r.open.Info().Reopens {
		c.end = err
	}
	r.out <- c
	return c.end == nil
}

// listen reads one opening to its end and returns why it ended.
func (r *reader) listen(ctx context.Context, s port.Stream) error {
	stop := context.AfterFunc(ctx, func() { s.Close() })
	defer func() {
		stop()
		s.Close()
	}()
	opened := chunk{at: r.now(), kind: livelevel.Opened, event: "opened"}
	if r.lost {
		opened.kind, opened.event = livelevel.Back, "back"
	}
	r.lost, r.tries = false, ""
	first := true
	for {
		c, err := s.Next()
		if first { // a replay knows its time only now
			first = false
			if !r.open.Info().Live {
				opened.at = c.At
			}
			r.out <- opened
		}
		if err != nil {
			return err
		}
		r.out <- r.chunk(c)
	}
}

func (r *reader) chunk(c port.Chunk) chunk {
	out := chunk{at: c.At, event: c.Event}
	if len(c.Data) > 0 {
		out.data = append(r.room(), c.Data...)
	} else if c.Event == "" {
		out.kind = livelevel.Tick
	}
	if c.Event == "baud" {
		out.baud = r.open.Info().Baud
	}
	return out
}

// room is where the bytes of a chunk go: that of one that was taken, if there is any.
func (r *reader) room() []byte {
	select {
	case b := <-r.spare:
		return b[:0]
	default:
		return nil
	}
}

// taken gives the room of a chunk back: nothing may look at its bytes again.
func (r *reader) taken(b []byte) {
	select {
	case r.spare <- b:
	default:
	}
}

// over tells whether the feed ends here, and says so.
func (r *reader) over(ctx context.Context, err error) bool {
	switch {
	case ctx.Err() != nil, errors.Is(err, port.ErrClosed):
		r.out <- chunk{at: r.now(), end: port.ErrClosed}
		return true
	case errors.Is(err, io.EOF): // a source that has an end does not come back
		r.out <- chunk{end: io.EOF}
		return true
	case errors.Is(err, port.ErrLost) && r.open.Info().Reopens:
		if !r.lost {
			r.lost = true
			r.out <- chunk{at: r.now(), kind: livelevel.Lost, event: "lost"}
		}
		return false
	case !r.open.Info().Reopens:
		r.out <- chunk{end: err}
		return true
	}
	return false
}
