package dialect

import (
	"bytes"
	"slices"
	"sort"
	"strings"
	"time"

	"example.org/tankhand/livelevel"
)

// Some controllers print other words in place of a report when they hear no echo: "Sensor timeout", "---".
// Where the words name the echo they need no learning; others are written into the dialect, beside the
// numbers that mean the same.

// saysLost tells whether a line, in which no distance or level stands, says that no echo came.
func (dec *Decoder) saysLost(line []byte) bool {
	if !isPlain(line) || len(line) > maxText {
		return false
	}
	whole := false
	for _, p := range dec.plans {
		if !p.tellsLevel() {
			continue
		}
		for _, w := range p.lostWords {
			if text := fold(string(line)); w == text || len(w) >= 6 && contains(text, w) {
				return true
			}
		}
		whole = true
	}
	return whole && namesEcho(line)
}

func (p *plan) tellsLevel() bool { return isEcho(p.role) || p.lostState() == lostEcho }

// namesEcho looks for the words of a lost echo that cannot mean another thing.
func namesEcho(line []byte) bool {
	for i := range line {
		if i > 0 && isWord(line[i-1]) {
			continue
		}
		if n := phrase(line[i:]); n > 0 && speaksOfEcho(line[i:i+n]) {
			return true
		}
	}
	return false
}

func speaksOfEcho(b []byte) bool {
	w := lower(string(b))
	return strings.Contains(w, "ech") || strings.Contains(w, "eco") || strings.Contains(w, "out of range")
}

// noDistance tells whether a report that came without its distance says why in a word of its own: a
// field "error": "timeout", "status: no echo".
func (dec *Decoder) noDistance(line []byte, hits []hit) bool {
	echo := false
	for _, p := range dec.plans {
		echo = echo || isEcho(p.role)
	}
	if !echo || hasEcho(hits) {
		return false
	}
	for i := range dec.scan.slots {
		s := &dec.scan.slots[i]
		if w := line[s.lo:s.hi]; s.kind == slotWord && hitOf(hits, i) == nil && hasLetter(w) && string(w) != "null" && isLostWord(w) {
			return true
		}
	}
	return false
}

func hasEcho(hits []hit) bool {
	for _, h := range hits {
		if isEcho(h.p.role) {
			return true
		}
	}
	return false
}

func isLostWord(w []byte) bool { return stateOf(w) == wordLost || phrase(w) == len(w) }

// addLost writes words for a lost echo into the field that tells the level best.
func (d *Dialect) addLost(words []string) {
	if len(words) == 0 {
		return
	}
	for _, r := range levelRoles {
		for i := range d.Fields {
			if d.Fields[i].Role == r.String() {
				d.Fields[i].Lost = append(d.Fields[i].Lost, words...)
				return
			}
		}
	}
}

const maxLostLines = 4

// lostLines finds the lines that stand in place of a report when no echo came: they hold a word for it
// and no value, come more than once, and for them a report is missing.
func (l *Learner) lostLines(d Dialect) []string {
	dec, err := NewDecoder(d)
	if err != nil || !d.Block.single() || d.Kind == NMEA {
		return nil
	}
	var gaps gapWatch
	var out []livelevel.Reading
	for _, s := range l.lines {
		out = dec.Decode(out[:0], s.text, s.at)
		report := false
		for i := range out {
			report = report || out[i].Kind == livelevel.Report
		}
		gaps.line(s, report, !report && lostAlone(s.text))
	}
	return gaps.inPlace()
}

// lostAlone tells a line that may stand for a report without an echo: a word for it, no number.
func lostAlone(b []byte) bool {
	if len(b) == 0 || len(b) > 40 || bytes.ContainsAny(b, "0123456789") || isBoot(b) {
		return false
	}
	words := bytes.FieldsFunc(b, func(r rune) bool { return r == ' ' || r == ':' || r == ',' || r == '=' })
	for i, w := range words {
		if stateOf(w) == wordLost || phrase(bytes.Join(words[i:], []byte{' '})) > 0 {
			return len(words) <= 4
		}
	}
	return false
}

// gapWatch keeps which lines came instead of reports.
type gapWatch struct {
	last    time.Time // of the report before
	between []string  // lines of lost echoes since
	steps   []float64 // seconds between reports with nothing in between
	seen    map[string][]float64
	reports int
}

func (g *gapWatch) line(s sample, report, lost bool) {
	switch {
	case lost:
		g.between = append(g.between, string(s.text))
		return
	case !report:
		return
	}
	g.reports++
	step := 0.0
	if !g.last.IsZero() {
		step = s.at.Sub(g.last).Seconds()
	}
	if len(g.between) == 0 {
		g.steps = append(g.steps, step)
	}
	for _, text := range g.between {
		if g.seen == nil {
			g.seen = map[string][]float64{}
		}
		g.seen[text] = append(g.seen[text], step/float64(len(g.between)+1))
	}
	g.between, g.last = g.between[:0], s.at
}

// inPlace are the lines before and after which the reports are as far apart as if one were missing. Without
// times, lines that come now and then: a rule between the reports comes as often as they do.
func (g *gapWatch) inPlace() []string {
	usual := medianOf(g.steps)
	var out []string
	for text, shares := range g.seen {
		share := medianOf(shares)
		timed := usual > 0 && share > 0.7*usual && share < 1.5*usual
		rare := usual == 0 && len(shares)*3 < g.reports
		if len(shares) >= 2 && (timed || rare) && len(out) < maxLostLines {
			out = append(out, text)
		}
	}
	sort.Strings(out)
	return out
}

func medianOf(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	s := slices.Sorted(slices.Values(x))
	return s[len(s)/2]
}
