package dialect

import (
	"time"

	"example.org/tankhand/livelevel"
)

// restartState knows when the controller last started, so that the lines of one start count once.
type restartState struct {
	pending bool   // a start was said, and no report came since
	more    string // what its other lines said of the cause
	first   uint64
	at      time.Time
	uptime  float64
	known   bool
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
		s.hear(line)
		return dst
	}
	s.pending, s.first, s.more = true, h, ""
	dst = dec.release(dst)
	return append(dst, livelevel.Reading{Time: dec.clock.or(at), Kind: livelevel.Restart, Text: string(line[:min(len(line), maxText)])})
}

// hear keeps the line of a start that gives its cause: the next report carries it, as where a firmware sends
// the cause with its reports.
func (s *restartState) hear(line []byte) {
	if text := fold(string(line[:min(len(line), maxText)])); s.more == "" && (contains(text, "cause") || contains(text, "reason") || contains(text, "rst")) {
		s.more = string(line[:min(len(line), maxText)])
	}
}

// fell tells whether the uptime of a believed report shows a restart.
func (s *restartState) fell(r *livelevel.Reading) bool {
	up, ok := r.Get(livelevel.Uptime)
	return ok && s.known && fallen(s.uptime, up) && !wrapped(s.uptime, up)
}

// fallen tells a fall from the jitter of a clock that is printed coarsely.
func fallen(before, now float64) bool { return now < before-0.5 || now < before/2 }

func wrapped(before, now float64) bool {
	return now < 600 && (before > wrap32ms-600 && before <= wrap32ms || before > wrap32us-60 && before <= wrap32us)
}

// report takes the clocks of a believed report.
func (dec *Decoder) report(r *livelevel.Reading, at time.Time) {
	s := &dec.restart
	s.pending, s.last = false, at
	for i := range dec.paces {
		d := &dec.paces[i]
		v, ok := r.Get(d.role)
		if !ok {
			continue
		}
		if d.goes(v); d.role == livelevel.Uptime {
			s.uptime, s.known = v, true
		}
	}
}

// finish takes the report at the end of dst through the doubts.
func (dec *Decoder) finish(dst []livelevel.Reading, at time.Time, lost bool) []livelevel.Reading {
	r := &dst[len(dst)-1]
	r.EchoLost = lost
	r.Time = at
	return dec.consider(dst, at)
}

// believe gives the report at the end of dst its time, and puts a restart before it if its uptime says so.
func (dec *Decoder) believe(dst []livelevel.Reading, at time.Time) []livelevel.Reading {
	r := &dst[len(dst)-1]
	fell, said := dec.restart.fell(r), dec.restart.pending
	r.Time = dec.clock.stamp(r, at, fell || said)
	if said && dec.restart.more != "" && r.Text == "" {
		r.Set(livelevel.ResetCause, 0)
		r.Text = dec.restart.more
	}
	dec.report(r, at)
	dec.doubt.rel.add(r)
	dec.believeFigures()
	dec.reports++
	if !fell || said {
		return dst
	}
	dst = append(dst, *r)
	dst[len(dst)-2] = livelevel.Reading{Time: r.Time, Kind: livelevel.Restart, Text: "the uptime fell back"}
	return dst
}
