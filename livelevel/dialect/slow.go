package dialect

import (
	"strings"
	"time"

	"example.org/tankhand/livelevel"
)

func contains(s, sub string) bool { return strings.Contains(s, sub) }

const (
	probation = 3  // times in a row that a new look must come before it is believed
	often     = 12 // times in all that make it believed too, if it is a common one
	silent    = 6  // times in all for a look without an echo, which brings no level that could be wrong, and in a row for one without a field
	trusted   = 20 // reports after which a new look is suspicious
	maxFrames = 512
	maxFast   = 6
)

// trial is how a new shape of line is doing.
type trial struct{ times, row, last int }

// hit is a field found in the line at hand.
type hit struct {
	p    *plan
	slot int
}

// slow decodes a scanned line by searching it for the fields.
func (dec *Decoder) slow(dst []livelevel.Reading, line []byte, at time.Time) []livelevel.Reading {
	var buf [maxSlots]hit
	hits, why := dec.find(line, buf[:0])
	if why == "" && dec.strange(hits) {
		hits = hits[:0]
	}
	instead := !hasEcho(hits) && dec.saysLost(line)
	if instead && strings.HasSuffix(why, "is missing") && dec.lostFull < probation {
		why = ""
	}
	if len(hits) == 0 && why == "" && !instead {
		return dec.stranger(dst, line, at, "no field of the dialect is in it")
	}
	if strings.HasSuffix(why, "is missing") && len(hits) > 0 && dec.leftOut(hits) {
		why = ""
	}
	if why != "" {
		return dec.stranger(dst, line, at, why)
	}
	dst = append(dst, livelevel.Reading{})
	r := &dst[len(dst)-1]
	lost, why := dec.fill(r, line, hits)
	lost = lost || instead || dec.noDistance(line, hits)
	if why == "" && !instead && dec.d.Kind != NMEA && !(lost && emptyMeansLost(hits)) && !dec.known(line, hits, lost) {
		why = "the line looks like no other"
	}
	if why != "" {
		return dec.reject(dst[:len(dst)-1], at, why)
	}
	if lost && len(hits) == len(dec.plans) {
		dec.lostFull++
	}
	for _, h := range hits {
		s := &dec.scan.slots[h.slot]
		if s.kind == slotNumber && (!lost || !isEcho(h.p.role)) {
			h.p.note(s.num, s.unit != nil)
		}
	}
	if len(dec.frames) < maxFrames {
		dec.frames[dec.scan.frame]++
		dec.learnJoints(line)
	}
	dec.remember(line, hits, r, lost)
	return dec.finish(dst, at, lost)
}

// known tells whether the shape of the line is one that reports have. While few reports came every shape
// is, but for one with an empty cell; later a new one must come a few times before it is believed.
func (dec *Decoder) known(line []byte, hits []hit, lost bool) bool {
	f, empty := dec.scan.frame, lost && dec.emptyEcho(hits)
	if dec.frames[f] > 0 || !lost && dec.jointed(line, hits) || dec.reports < trusted && !empty {
		return true
	}
	t := dec.try(f)
	return t.row >= probation || t.times >= often && t.times*20 > dec.reports || lost && t.times >= silent
}

// try counts one more line of a shape on probation.
func (dec *Decoder) try(shape uint64) *trial {
	if len(dec.odd) >= maxFrames {
		clear(dec.odd)
	}
	t := dec.odd[shape]
	if t == nil {
		t = &trial{}
		dec.odd[shape] = t
	}
	if t.last != dec.reports {
		t.row = 0
	}
	t.times, t.row, t.last = t.times+1, t.row+1, dec.reports
	return t
}

// emptyMeansLost tells whether the dialect says that an empty cell stands for a lost echo: then a line with
// one is no new look, however rare.
func emptyMeansLost(hits []hit) bool {
	for _, h := range hits {
		if isEcho(h.p.role) && h.p.has(h.p.lostWords, nil) {
			return true
		}
	}
	return false
}

// emptyEcho tells whether nothing stands where the distance should.
func (dec *Decoder) emptyEcho(hits []hit) bool {
	for _, h := range hits {
		if s := &dec.scan.slots[h.slot]; isEcho(h.p.role) && s.lo == s.hi {
			return true
		}
	}
	return false
}

// find looks for each field of the dialect among the slots. A field that is there twice is a sign of
// merged lines, one that is missing of a cut one.
func (dec *Decoder) find(line []byte, hits []hit) ([]hit, string) {
	missing := ""
	if dec.few(len(dec.scan.slots)) {
		return hits, ""
	}
	for _, p := range dec.plans {
		if p.role == livelevel.Ignore {
			continue
		}
		at, n := dec.where(p, line)
		switch {
		case n > 1:
			return hits, "the field " + p.At + " is there twice"
		case n == 1:
			hits = append(hits, hit{p, at})
		case !p.Optional && dec.d.Kind != NMEA:
			missing = p.At
		}
	}
	if missing != "" && len(hits) > 0 {
		return hits, "the field " + missing + " is missing"
	}
	return hits, ""
}

// where finds the slot of a field, and how many answer to its label.
func (dec *Decoder) where(p *plan, line []byte) (at, n int) {
	slots := dec.scan.slots
	if p.number > 0 {
		if p.number <= len(slots) && !(dec.bare && dec.named(p, line)) {
			return p.number - 1, 1
		}
		return 0, 0
	}
	if dec.d.Kind == CSV && len(dec.names) == 0 && p.Column > 0 && p.Column <= len(slots) {
		return p.Column - 1, 1
	}
	for i := range slots {
		s := &slots[i]
		label := s.label
		if dec.d.Kind == Text {
			label = labelOf(line[s.labelLo:s.labelHi])
		}
		if label == p.At || foldEqual(label, p.label) {
			at = i
			n++
		}
	}
	return at, n
}

// named tells whether a word stands before a value that never had one: another line, which happens to hold
// a number.
func (dec *Decoder) named(p *plan, line []byte) bool {
	s := &dec.scan.slots[p.number-1]
	has := hasLetter(line[s.labelLo:s.labelHi])
	if p.seen == 0 {
		p.lettered = has
	}
	return has && !p.lettered
}

// strange tells whether a line has none of the labels of a dialect, only values in the places of others.
func (dec *Decoder) strange(hits []hit) bool {
	if dec.d.Kind != Text || dec.bare {
		return false
	}
	for _, h := range hits {
		if h.p.number == 0 {
			return false
		}
	}
	return true
}

// few tells whether a line of text has fewer values than the places that fields are known by.
func (dec *Decoder) few(slots int) bool {
	if dec.d.Kind != Text {
		return false
	}
	for _, p := range dec.plans {
		if p.number > slots {
			return true
		}
	}
	return false
}

func foldEqual(label, folded string) bool {
	return len(label) <= len(folded)+4 && label != "" && fold(label) == folded
}

// fill puts the values of the fields into r, and says what is wrong with the line if something is.
func (dec *Decoder) fill(r *livelevel.Reading, line []byte, hits []hit) (lost bool, why string) {
	empty := false // a level, percent or volume that never had a value: no marks, no tank; not no echo
	for _, h := range hits {
		s := &dec.scan.slots[h.slot]
		v, state, what := dec.value(h.p, s, line)
		switch state {
		case good:
			r.Set(h.p.role, v)
		case lostEcho:
			if isEcho(h.p.role) || h.p.seen > 0 {
				lost = true
			}
			empty = true
		case absent:
			dec.text(r, h.p, line[s.lo:s.hi])
		case wrong:
			if h.p.again(dec.reports, dec.others); h.p.bad >= probation && !isEcho(h.p.role) && h.p.role != livelevel.LevelPercent && s.kind == slotNumber {
				h.p.badAt++ // this report will count
				continue    // a sensor beside the point that is always wrong must not cost the rest
			}
			return false, "the field " + h.p.At + ": " + what
		}
	}
	if empty && !lost {
		lost = !(r.Has(livelevel.Ullage) || r.Has(livelevel.UllageRaw) || r.Has(livelevel.Echo))
	}
	if lost {
		r.Clear(livelevel.Ullage)
		r.Clear(livelevel.UllageRaw)
		r.Clear(livelevel.Echo)
	}
	return lost, ""
}

// again counts an implausible value behind so many reports and other lines: in a row are those with neither between.
func (p *plan) again(reports, others int) {
	if p.badAt != reports || p.badLine+1 != others {
		p.bad = 0
	}
	p.bad++
	p.badAt, p.badLine = reports, others
}

// value reads what stands in a slot as a value of a field.
func (dec *Decoder) value(p *plan, s *slot, line []byte) (float64, valueState, string) {
	w := line[s.lo:s.hi]
	switch {
	case s.kind == slotStamp:
		return p.stamp(s)
	case s.kind == slotWord:
		return p.word(w)
	case p.stamped:
		return 0, wrong, "a number stands where a time should"
	case p.isFlag() && (len(p.on) > 0 || len(p.off) > 0):
		return p.flag(w)
	case p.role == livelevel.ResetCause || p.role == livelevel.Fault:
		return 0, absent, ""
	}
	if s.unit == nil && s.unitHi > s.unitLo && string(line[s.unitLo:s.unitHi]) != p.Unit {
		return 0, wrong, "letters stand behind the number"
	}
	if dec.stump(p, s, line) {
		return 0, wrong, "the number has lost its decimals"
	}
	if what := p.odd(s.num, s.unit != nil); what != "" { // what stands for a lost echo is often written in another way, but 500 may be 50.0
		if s.num.whole > 0 && (p.isLost(s.num.v) || p.farEnd(s.num.v) && p.fig.known && apartBy(s.num.m, p.fig.last) > p.fig.near()) {
			return 0, p.lostState(), ""
		}
		return 0, wrong, what
	}
	return p.take(s.num, s.unit)
}

func (p *plan) isLost(v float64) bool {
	for _, l := range p.lostNum {
		if v == l {
			return true
		}
	}
	return isEcho(p.role) && (v <= 0 || v >= 999) && sentinel(v)
}

func (p *plan) isFlag() bool {
	return p.role == livelevel.Pump || p.role == livelevel.Mode || p.role == livelevel.Demand || p.role == livelevel.Button
}

func (p *plan) stamp(s *slot) (float64, valueState, string) {
	switch {
	case p.role == livelevel.Clock, p.role == livelevel.Uptime && !s.full:
		p.stamped = true
		return s.num.v, good, ""
	}
	return 0, wrong, "a time stands where a number should"
}

const maxText = 120

// text keeps the words of a reset cause or a fault; the same words are kept once.
func (dec *Decoder) text(r *livelevel.Reading, p *plan, w []byte) {
	if p.role != livelevel.ResetCause && p.role != livelevel.Fault || len(w) == 0 {
		return
	}
	w = w[:min(len(w), maxText)]
	s, ok := dec.texts[string(w)]
	if !ok {
		s = string(w)
		if len(dec.texts) < maxFrames {
			dec.texts[s] = s
		}
	}
	r.Text = s
	v := 0.0
	if p.role == livelevel.Fault && isFault(w) {
		v = 1
	}
	r.Set(p.role, v)
}

// isFault tells the words of a fault from those that say there is none.
func isFault(w []byte) bool {
	switch fold(string(w)) {
	case "0", "ok", "none", "no", "-", "--", "good", "normal", "gut", "kein", "keine", "aucun", "ninguno", "nessuno", "brak", "geen", "nenhum", "clear":
		return false
	}
	return true
}
