package dialect

import "example.org/tankhand/livelevel"

// A joint is where a value hangs in a line of text: its label, what kind it is, and the sign behind it. A line of a
// new shape whose joints are all known is whole: a bar of signs grew, an alarm has another name, a field came that
// comes now and then.

// joint is the hash of one.
func (dec *Decoder) joint(line []byte, s *slot) uint64 {
	h := hashStart
	for _, c := range []byte(labelOf(line[s.labelLo:s.labelHi])) {
		h = mix(h, c)
	}
	behind := byte(' ')
	if end := max(s.hi, s.unitHi); s.kind != slotWord && end < len(line) {
		behind = line[end]
	}
	return mix(mix(h, byte(s.kind)), behind)
}

// learnJoints takes those of a line that was believed.
func (dec *Decoder) learnJoints(line []byte) {
	if dec.d.Kind != Text || dec.bare {
		return
	}
	for i := range dec.scan.slots {
		if len(dec.joints) >= 4*maxFrames {
			return
		}
		dec.joints[dec.joint(line, &dec.scan.slots[i])] = true
	}
}

// jointed tells whether all joints of a line are known: from lines before, or from the dialect that knows the label.
func (dec *Decoder) jointed(line []byte, hits []hit) bool {
	if dec.d.Kind != Text || dec.bare {
		return false
	}
	numbers := 0
	for i := range dec.scan.slots {
		s := &dec.scan.slots[i]
		if s.kind != slotWord {
			numbers++
		}
		if p := hitOf(hits, i); !dec.joints[dec.joint(line, s)] && (p == nil || p.number > 0 || p.seen > 0 || p.isFlag()) {
			return false
		}
	}
	return numbers > 0
}

// leftOut tells whether the fields that a line lacks are left out by this controller at times, though the lines that
// the dialect was made of had them: the same shape comes again with no other between. The distance is never left out so.
func (dec *Decoder) leftOut(hits []hit) bool {
	if dec.d.Kind == CSV || dec.bare {
		return false
	}
	for _, p := range dec.plans {
		if lacks(hits, p) && p.tellsLevel() {
			return false
		}
	}
	if dec.try(dec.scan.frame).row < silent {
		return false
	}
	for _, p := range dec.plans {
		if lacks(hits, p) {
			p.Optional = true
		}
	}
	return true
}

func lacks(hits []hit, p *plan) bool {
	if p.Optional || p.role == livelevel.Ignore {
		return false
	}
	for _, h := range hits {
		if h.p == p {
			return false
		}
	}
	return true
}
