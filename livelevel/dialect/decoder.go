package dialect

import (
	"fmt"
	"time"
	"unicode/utf8"

	"example.org/tankhand/livelevel"
)

// Decoder turns lines into readings by a dialect. It remembers how good lines look, so that a damaged one
// stands out, and reads further lines of a known look without searching them. It is not safe for
// concurrent use.
type Decoder struct {
	d        Dialect
	bare     bool // text whose fields are known by their places
	single   bool // a report is one line of UTF-8
	plans    []*plan
	figures  []*plan // of them, those whose digits are watched
	scan     scanner
	clean    cleaner
	utf8     []byte
	names    []string // of csv columns, once the header was seen
	frames   map[uint64]int
	reports  int
	others   int               // lines that had to be searched
	joints   map[uint64]bool   // of lines that were believed
	odd      map[uint64]*trial // shapes on probation
	lostFull int               // reports of a lost echo in which no field was missing
	fast     []*template
	block    blockState
	restart  restartState
	doubt    doubts
	paces    []pace // of its clocks
	clock    clockState
	marks    []string
	texts    map[string]string
}

// NewDecoder makes a decoder, or says what is wrong with the dialect.
func NewDecoder(d Dialect) (*Decoder, error) {
	switch d.Kind {
	case Text, CSV, JSON, NMEA:
	default:
		return nil, fmt.Errorf("using the dialect %s: kind %q is none of text, csv, json, nmea", d.Name, d.Kind)
	}
	if d.Kind == CSV && len(d.Separator) != 1 {
		return nil, fmt.Errorf("using the dialect %s: separator %q is not one character", d.Name, d.Separator)
	}
	dec := &Decoder{d: d, frames: map[uint64]int{}, joints: map[uint64]bool{}, odd: map[uint64]*trial{}, texts: map[string]string{}}
	dec.scan.comma = d.Decimal == ","
	for _, f := range d.Fields {
		p, err := newPlan(f)
		if err != nil {
			return nil, err
		}
		dec.plans = append(dec.plans, p)
		if role := p.role; role == livelevel.Uptime || role == livelevel.Clock {
			dec.paces = append(dec.paces, pace{role: role})
		}
		if p.watched {
			dec.figures = append(dec.figures, p)
		}
	}
	for _, r := range d.Restart {
		dec.marks = append(dec.marks, fold(r))
	}
	dec.clock.find(dec.plans)
	dec.bare = d.Kind == Text && dec.Unlabelled()
	dec.single = d.Block.single() && d.Encoding != "latin-1"
	return dec, nil
}

// Unlabelled tells whether values are known by their place alone, so that a line whose start was missed
// looks like a whole one.
func (dec *Decoder) Unlabelled() bool {
	for _, p := range dec.plans {
		if p.number == 0 && dec.d.Kind != CSV {
			return false
		}
	}
	return true
}

// Inherit takes over from the decoder before it what is known of the controller: its uptime and the time.
func (dec *Decoder) Inherit(old *Decoder) {
	has := dec.clock.has
	dec.restart, dec.clock = old.restart, old.clock
	for i := range dec.paces {
		if dec.paces[i].role == livelevel.Uptime && dec.restart.known {
			dec.paces[i].last, dec.paces[i].known = dec.restart.uptime, true
		}
	}
	dec.clock.has = has
}

// Decode appends to dst what the line says: a report, a restart, a rejected line, or nothing when it is no
// report (readable words, a header, part of a block). at is the arrival, or zero.
func (dec *Decoder) Decode(dst []livelevel.Reading, line []byte, at time.Time) []livelevel.Reading {
	line = dec.clean.clean(line)
	if dec.single {
		return dec.whole(dst, line, at)
	}
	if dec.d.Encoding == "latin-1" {
		dec.utf8 = toUTF8(dec.utf8[:0], line)
		line = dec.utf8
	}
	if !dec.d.Block.single() {
		return dec.blockLine(dst, line, at)
	}
	return dec.whole(dst, line, at)
}

// Last decodes a last line that has no line end: it may be cut, so it must end like a whole one.
func (dec *Decoder) Last(dst []livelevel.Reading, line []byte, at time.Time) []livelevel.Reading {
	line = dec.clean.clean(line)
	if n := len(line); n > 0 && isDigit(line[n-1]) && dec.d.Kind != NMEA {
		return dec.End(dec.reject(dst, at, "cut at the end of the feed"), at)
	}
	return dec.End(dec.Decode(dst, line, at), at)
}

// End says that nothing more comes: what was gathered or held back is decided on.
func (dec *Decoder) End(dst []livelevel.Reading, at time.Time) []livelevel.Reading {
	return dec.release(dec.blockEnd(dst, at))
}

// whole decodes a whole report.
func (dec *Decoder) whole(dst []livelevel.Reading, line []byte, at time.Time) []livelevel.Reading {
	if len(line) == 0 {
		return dst
	}
	if dec.d.Kind == NMEA {
		star := len(line) - 3
		if !isPlain(line) {
			return dec.reject(dst, at, "it holds bytes that are no text")
		}
		if ok, why := dec.scan.nmea(line); !ok && (line[0] == '$' || line[0] == '!') {
			return dec.reject(dst, at, why)
		} else if !ok {
			return dec.stranger(dst, line, at, why)
		}
		return dec.slow(dst, line[:star], at)
	}
	for i, t := range dec.fast {
		if len(dst) < cap(dst) {
			dst = dst[:len(dst)+1]
		} else {
			dst = append(dst, livelevel.Reading{})
		}
		r := &dst[len(dst)-1]
		if t.match(line, dec.scan.comma, r) {
			if i > 0 {
				dec.fast[0], dec.fast[i] = dec.fast[i], dec.fast[0]
			}
			return dec.finish(dst, at, t.echoLost)
		}
		dst = dst[:len(dst)-1]
	}
	dec.others++
	if dec.isRestart(line) {
		return dec.booted(dst, line, at)
	}
	if !isPlain(line) || !utf8.Valid(line) {
		return dec.reject(dst, at, "it holds bytes that are no text")
	}
	switch dec.d.Kind {
	case JSON:
		if !dec.scan.json(line) {
			return dec.stranger(dst, line, at, "no whole JSON object")
		}
	case CSV:
		dec.scan.csv(line, dec.d.Separator[0], dec.names)
		if dec.isHeader(line) {
			return dst
		}
	default:
		dec.scan.text(line)
	}
	return dec.slow(dst, line, at)
}

// reject appends a line rejected for its look, with the reason: that shows that the feed is dirty.
func (dec *Decoder) reject(dst []livelevel.Reading, at time.Time, why string) []livelevel.Reading {
	if dec.reports > 0 {
		dec.doubt.dirty++
	}
	return dec.rejected(dst, at, why)
}

func (dec *Decoder) rejected(dst []livelevel.Reading, at time.Time, why string) []livelevel.Reading {
	return append(dst, livelevel.Reading{Time: dec.clock.or(at), Kind: livelevel.Rejected, Text: why})
}

// stranger is a line that is no report of this dialect: words of a start, chatter, or damage.
func (dec *Decoder) stranger(dst []livelevel.Reading, line []byte, at time.Time, why string) []livelevel.Reading {
	switch {
	case dec.isRestart(line):
		return dec.booted(dst, line, at)
	case dec.saysLost(line):
		return dec.finish(append(dst, livelevel.Reading{}), at, true)
	case readable(line) && !dec.touches(line):
		return dst
	}
	return dec.reject(dst, at, why)
}

// touches tells whether the line holds a label of the dialect: then it was meant to be a report.
func (dec *Decoder) touches(line []byte) bool { return dec.touched(line) > 0 }

// touched counts the labels of the dialect that a line holds.
func (dec *Decoder) touched(line []byte) int {
	var text string
	n := 0
	for _, p := range dec.plans {
		if p.number > 0 || len(p.label) < 3 {
			continue
		}
		if text == "" {
			text = fold(string(line))
		}
		if contains(text, p.label) {
			n++
		}
	}
	return n
}

// isHeader takes a header line of a csv feed: it comes again after each restart.
func (dec *Decoder) isHeader(line []byte) bool {
	if !dec.d.Header {
		return false
	}
	hits, named := 0, 0
	for _, p := range dec.plans {
		if p.number > 0 {
			continue
		}
		named++
		for _, s := range dec.scan.slots {
			if s.kind == slotWord && fold(string(line[s.lo:s.hi])) == p.label {
				hits++
				break
			}
		}
	}
	if named == 0 {
		return allWords(dec.scan.slots)
	}
	if hits < named {
		return false
	}
	dec.names = dec.names[:0]
	for _, s := range dec.scan.slots {
		dec.names = append(dec.names, string(line[s.lo:s.hi]))
	}
	dec.fast = dec.fast[:0]
	return true
}

func allWords(s []slot) bool {
	for _, v := range s {
		if v.kind != slotWord {
			return false
		}
	}
	return true
}
