package dialect

import "bytes"

// blockTable reads reports over several lines, parted by blank lines or rules, if that is what they are.
func blockTable(use []sample) *table {
	for _, ends := range []string{"blank", rule(use)} {
		if ends == "" {
			continue
		}
		if t := blocksBy(use, ends); t != nil {
			return t
		}
	}
	return cycleTable(use)
}

// rule is the beginning of the line of signs that parts blocks, or "".
func rule(use []sample) string {
	counts := map[string]int{}
	for _, l := range use {
		if len(l.text) >= 3 && len(bytes.Trim(l.text, string(l.text[0]))) == 0 && bytes.IndexByte([]byte("-=*#_~+."), l.text[0]) >= 0 {
			counts[string(l.text[:3])]++
		}
	}
	best := ""
	for r, n := range counts {
		if n >= 2 && (best == "" || n > counts[best]) {
			best = r
		}
	}
	return best
}

// blocksBy joins the lines between the ends; most blocks must be of one shape, and of more than one line.
func blocksBy(use []sample, ends string) *table {
	var blocks []sample
	var text []byte
	lines, many, inner, alike := 0, 0, 0, 0
	s := scanner{comma: commaDecimals(use)}
	var shape uint64
	for _, l := range use {
		if ends == "blank" && len(l.text) > 0 || ends != "blank" && !bytes.HasPrefix(l.text, []byte(ends)) {
			if len(l.text) == 0 {
				continue
			}
			was := shape
			s.text(l.text)
			shape = s.frame
			if lines > 0 {
				text = append(text, '\n')
				inner++
				if shape == was {
					alike++
				}
			}
			text = append(text, l.text...)
			lines++
			continue
		}
		if lines > 1 {
			many++
		}
		if lines > 0 && len(text) <= maxBlock {
			blocks = append(blocks, sample{bytes.Clone(text), l.at})
		}
		text, lines = text[:0], 0
	}
	if many < 2 || many*2 < len(blocks) || len(blocks)*12 < len(use) {
		return nil
	}
	if alike*2 > inner {
		return nil // lines that say the same over again are a report each, and something else leaves the gaps
	}
	return blockOf(blocks, Block{EndsWith: ends})
}

func blockOf(blocks []sample, b Block) *table {
	t := textTable(blocks)
	if t == nil || t.rows*2 < len(blocks) || t.whole < 2 {
		return nil
	}
	t.d.Block = b
	return t
}

const maxCycle = 12

// cycleTable reads reports over several lines that follow each other without anything between: the shapes
// of the lines come round in the same order, each with values of its own.
func cycleTable(use []sample) *table {
	s := scanner{comma: commaDecimals(use)}
	var frames []uint64
	var lines []sample
	for _, l := range use {
		if s.text(l.text); len(s.slots) > 0 && len(s.slots) <= 3 && begins(l.text) {
			frames, lines = append(frames, s.frame), append(lines, l)
		} else if len(s.slots) > 0 {
			return nil
		}
	}
	p := period(frames)
	if p == 0 {
		return nil
	}
	first := opening(&s, lines[0].text)
	start := 0
	if len(frames) > p { // the feed may have begun in the middle: the longest pause tells, else the first line
		start = longestPause(lines, p)
		first = opening(&s, lines[start].text)
	}
	if first == "" {
		return nil
	}
	var blocks []sample
	for i := start; i+p <= len(lines); i += p {
		var text []byte
		for k := range p {
			if k > 0 {
				text = append(text, '\n')
			}
			text = append(text, lines[i+k].text...)
		}
		blocks = append(blocks, sample{text, lines[i+p-1].at})
	}
	return blockOf(blocks, Block{BeginsWith: first})
}

// opening is how the first line of a block begins.
func opening(s *scanner, b []byte) string {
	label := firstLabel(s, b)
	if len(b) > 0 && !isLetter(b[0]) {
		return string(bytes.TrimSpace(label))
	}
	return labelOf(label)
}

func firstLabel(s *scanner, b []byte) []byte {
	s.text(b)
	if len(s.slots) == 0 {
		return nil
	}
	return b[:s.slots[0].labelHi]
}

// begins tells whether a line begins with a word, behind any signs that set it off.
func begins(b []byte) bool {
	b = bytes.TrimLeft(b, "=-*# ")
	return len(b) > 0 && isLetter(b[0])
}

// period is the length of the cycle in which all shapes differ, or 0.
func period(f []uint64) int {
	for p := 2; p <= maxCycle && 3*p <= len(f); p++ {
		seen := map[uint64]bool{}
		for _, x := range f[:p] {
			seen[x] = true
		}
		if len(seen) != p {
			continue
		}
		same := 0
		for i := p; i < len(f); i++ {
			if f[i] == f[i-p] && f[i] != f[i-1] { // all of one shape come round with any period
				same++
			}
		}
		if same*10 >= (len(f)-p)*9 {
			return p
		}
	}
	return 0
}

// longestPause is the place in the cycle before which the longest pauses lie, 0 when there are no times.
func longestPause(lines []sample, p int) int {
	best, at := 0.0, 0
	sums := make([]float64, p)
	for i := 1; i < len(lines); i++ {
		if !lines[i].at.IsZero() {
			sums[i%p] += lines[i].at.Sub(lines[i-1].at).Seconds()
		}
	}
	for k, v := range sums {
		if v > best*1.5 {
			best, at = v, k
		}
	}
	return at
}
