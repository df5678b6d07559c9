package port

import "time"

// rate is one guess at how the other end sends.
type rate struct {
	baud   int
	format string
}

// rates in the order of how often boards use them (common practice, no source). 7E1 is not in the list:
// it shows at the right rate as text whose eighth bit is a parity bit.
var rates = []rate{{115200, "8N1"}, {9600, "8N1"}, {57600, "8N1"}, {38400, "8N1"}, {19200, "8N1"}, {4800, "8N1"},
	{230400, "8N1"}, {74880, "8N1"}, {2400, "8N1"}, {1200, "8N1"}, {460800, "8N1"}, {921600, "8N1"}, {14400, "8N1"},
	{28800, "8N1"}, {250000, "8N1"}, {600, "8N1"}, {300, "8N1"}}

const (
	autoEnough  = 64              // bytes that settle a guess
	autoSkip    = 8               // first bytes after a change: they may be halves of two rates
	autoPatient = 6 * time.Second // how long to stay with a rate that brings few bytes
	autoWindow  = 512             // bytes looked at
)

// autoStream listens at one rate after another until the bytes look like text. Every byte is handed
// over, garbage too: the capture keeps it.
type autoStream struct {
	Stream
	tune    func(rate) error
	i       int
	settled bool
	since   time.Time
	seen    []byte
	pending string
}

func newAutoStream(s Stream, tune func(rate) error) *autoStream {
	return &autoStream{Stream: s, tune: tune, i: -1}
}

// Next implements Stream; a change of rate is a chunk with Event "baud".
func (a *autoStream) Next() (Chunk, error) {
	if a.i < 0 {
		a.next(time.Now())
	}
	if a.pending != "" {
		e := a.pending
		a.pending = ""
		return Chunk{At: a.since, Event: e}, nil
	}
	c, err := a.Stream.Next()
	if err != nil || a.settled {
		return c, err
	}
	if a.since.IsZero() {
		a.since = c.At
	}
	a.judge(c)
	return c, nil
}

func (a *autoStream) judge(c Chunk) {
	a.seen = append(a.seen, c.Data[:min(len(c.Data), autoWindow)]...)
	body := a.seen[min(autoSkip, len(a.seen)):]
	switch verdict := sense(body); {
	case len(body) >= autoEnough && verdict == text:
		a.settled, a.seen = true, nil
	case len(body) >= autoEnough && verdict == parity:
		if a.tune(rate{rates[a.i].baud, "7E1"}) == nil {
			a.settled, a.pending, a.since = true, "baud", c.At
		}
	case len(body) >= autoEnough && verdict == noise, c.At.Sub(a.since) > autoPatient && verdict != text:
		a.next(c.At)
		a.pending = "baud"
	}
}

// next goes to the next rate that the device can do.
func (a *autoStream) next(at time.Time) {
	for range rates {
		a.i = (a.i + 1) % len(rates)
		if a.tune(rates[a.i]) == nil {
			break
		}
	}
	a.seen, a.since = a.seen[:0], at
}

type verdict uint8

const (
	unsure verdict = iota
	text           // lines of printable characters
	parity         // the same, once the eighth bit is taken off
	noise
)

// sense judges received bytes: a text feed has nearly only printable characters, line ends and digits.
func sense(b []byte) verdict {
	if len(b) == 0 {
		return unsure
	}
	var plain, stripped, high, ends, digits int
	for _, c := range b {
		if printable(c) {
			plain++
		}
		if c >= 0x80 {
			high++
		}
		if c = c & 0x7f; printable(c) {
			stripped++
		}
		if c == '\n' || c == '\r' {
			ends++
		}
		if c >= '0' && c <= '9' {
			digits++
		}
	}
	n := len(b)
	switch {
	case plain*100 >= n*95 && digits > 0 && (ends > 0 || n < autoWindow):
		return text
	case stripped*100 >= n*98 && high*10 >= n*2 && ends > 0 && digits > 0:
		return parity
	case plain*100 < n*90:
		return noise
	}
	return unsure
}

func printable(c byte) bool {
	return c >= 0x20 && c < 0x7f || c == '\n' || c == '\r' || c == '\t' || c == 0x1b
}
