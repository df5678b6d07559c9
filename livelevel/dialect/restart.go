package dialect

import (
	"time"

	"example.org/tankhand/livelevel"
)

// restartState knows when the controller last started, so that the lines of one start count once.
type restartState struct {
	pending bool // a start was said, and no report came since
	first   uint64
	at      time.Time
	uptime  float64
	known   bool
	strange int // reports in a row whose uptime fits nothing
	last    time.Time
}

const (
	bootPause = 3 * time.Second // words of a start that come later are another start
	clockSlop = 10.0            // s: how far an uptime may be from what passed
	wrap32ms  = 4294967.296     // s: a counter of milliseconds in 32 bits starts again here
	wrap32us  = 4294.967296     // s: of microseconds
)

// isRestart looks for the words of a start.
func (dec *Decoder) isRestart(line []byte) bool {
	if isBoot(line) && !dec.meant(line) {
		return true
	}
	if len(dec.marks) == 0 {
		return false
	}
	text := fold(string(line))
	for _, m := range dec.marks {
		if contains(text, m) {
			return true
		}
	}
	return false
}

// meant tells whether a line is a report that carries such a word as a field ("reset cause: power-on"):
// then most of the other fields are there too.
func (dec *Decoder) meant(line []byte) bool {
	return dec.touched(line) >= max(1, (len(dec.plans)+1)/2)
}

// booted appends a restart, unless it is one more line of the same start.
func (dec *Decoder) booted(dst []livelevel.Reading, line []byte, at time.Time) []livelevel.Reading {
	s := &dec.restart
	h := hashStart
	for _, c := range line {
		h = mix(h, c)
	}
	same := s.pending && h != s.first && (at.IsZero() || at.Sub(s.at) < bootPause)
	s.at = at
	if same {
		return dst
	}
	s.pending, s.first, s.known = true, h, false
	return append(dst, livelevel.Reading{Time: dec.clock.or(at), Kind: livelevel.Restart, Text: string(line[:min(len(line), maxText)])})
}

// uptimeFell judges the uptime of a report: a restart, or damage when it can be neither that nor the
// clock going on.
func (s *restartState) uptimeFell(r *livelevel.Reading, at time.Time) (restart, damaged bool) {
	up, ok := r.Get(livelevel.Uptime)
	if !ok {
		return false, false
	}
	fell := s.known && up < s.uptime-0.5 && !wrapped(s.uptime, up)
	if !fell {
		return false, false
	}
	if !at.IsZero() && !s.last.IsZero() && up > at.Sub(s.last).Seconds()+clockSlop || at.IsZero() && up > s.uptime/2 && up > 600 {
		s.strange++
		return false, s.strange < probation
	}
	return true, false
}

func wrapped(before, now float64) bool {
	return now < 600 && (before > wrap32ms-600 && before <= wrap32ms || before > wrap32us-60 && before <= wrap32us)
}

func (s *restartState) report(r *livelevel.Reading, at time.Time) {
	s.pending, s.strange = false, 0
	s.last = at
	if up, ok := r.Get(livelevel.Uptime); ok {
		s.uptime, s.known = up, true
	}
}

// finish gives a decoded report its time, and puts a restart before it if its uptime says so.
func (dec *Decoder) finish(dst []livelevel.Reading, at time.Time, lost bool) []livelevel.Reading {
	r := &dst[len(dst)-1]
	r.EchoLost = lost
	fell, damaged := dec.restart.uptimeFell(r, at)
	if damaged {
		return dec.reject(dst[:len(dst)-1], at, "the uptime cannot be")
	}
	said := dec.restart.pending
	r.Time = dec.clock.stamp(r, at, fell || said)
	dec.restart.report(r, at)
	dec.reports++
	if !fell || said {
		return dst
	}
	dst = append(dst, *r)
	dst[len(dst)-2] = livelevel.Reading{Time: r.Time, Kind: livelevel.Restart, Text: "the uptime fell back"}
	return dst
}
