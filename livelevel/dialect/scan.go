package dialect

import "bytes"

// slotKind is what stands at a place of a line.
type slotKind uint8

const (
	slotNumber slotKind = iota
	slotWord            // a state, a lost echo, or any word behind an equals sign
	slotStamp           // a date and time, or a time of day
)

// slot is one value of a line and where it stands in it; label is the text before it.
type slot struct {
	kind             slotKind
	labelLo, labelHi int
	lo, hi           int
	unitLo, unitHi   int
	unit             *unit
	num              number
	full             bool // a stamp with its date
	label            string
}

// scanner cuts lines into slots. Its slices are used again for the next line.
type scanner struct {
	comma bool // the decimal sign
	slots []slot
	frame uint64 // hash of all that is no value: the shape of the line
}

const (
	hashStart uint64 = 14695981039346656037 // FNV-1a
	hashPrime uint64 = 1099511628211
	maxSlots         = 64
)

func mix(h uint64, c byte) uint64 { return (h ^ uint64(c)) * hashPrime }

// text scans a line of labelled or bare values.
func (s *scanner) text(b []byte) {
	s.slots, s.frame = s.slots[:0], hashStart
	label, sign := 0, byte(0) // where the label starts; the last of = and : seen
	for i := 0; i < len(b) && len(s.slots) < maxSlots; {
		c := b[i]
		if n := ordinal(b, i); n > 0 {
			s.frame = mix(s.frame, c)
			if i += n; c != '[' {
				label = i // a date is no label of the time
			}
			continue
		}
		switch {
		case isDigit(c) || (c == '-' || c == '+' || c == '.') && i+1 < len(b) && isDigit(b[i+1]) && (i == 0 || !isWord(b[i-1])):
			if n := s.value(b, i, label); n > 0 {
				i += n
				label, sign = i, 0
				continue
			}
			i = s.literalRun(b, i)
		case isLetter(c) || c == '-' || c == '*' || c == '?':
			if n := s.word(b, i, label, sign); n > 0 {
				i += n
				label, sign = i, 0
				continue
			}
			if n := glued(b[i:], s.comma); n > 0 { // D043: a short label and its number in one
				s.literal(b[i : i+n])
				i += n
				continue
			}
			i = s.literalRun(b, i)
			sign = 0
		default:
			if c != ' ' && c != '\t' {
				s.frame = mix(s.frame, c)
				if sign = c; i > 0 && b[i-1] == c {
					sign = 0 // a rule, or a comparison
				}
			}
			i++
		}
	}
}

// literalRun takes a word, or one other character, as part of the shape.
func (s *scanner) literalRun(b []byte, i int) int {
	j := i + 1
	for isWord(b[i]) && j < len(b) && (isWord(b[j]) || b[j] == '.' && j+1 < len(b) && isWord(b[j+1])) {
		j++
	}
	s.literal(b[i:j])
	return j
}

func (s *scanner) literal(b []byte) {
	for _, c := range b {
		s.frame = mix(s.frame, c)
	}
}

// glued is the length of a label of one or two letters that has its number right behind it. A single
// digit may be part of a name (K1, T2): it is a number where the line ends or where the next such pair
// begins.
func glued(b []byte, comma bool) int {
	n := 0
	for n < len(b) && isLetter(b[n]) {
		n++
	}
	if n == 0 || n > 2 || n >= len(b) || !isDigit(b[n]) {
		return 0
	}
	num, l := parseNumber(b[n:], comma)
	end := n + l
	if u, _, hi := readUnit(b[end:]); u != nil && hi > 0 && b[end] != ' ' {
		return n
	}
	switch {
	case end < len(b) && (isWord(b[end]) || b[end] == ':' || b[end] == '='):
		return 0
	case int(num.whole)+int(num.decimals) >= 2:
		return n
	}
	next := skipSpace(b, end)
	if next >= len(b) || next > end && glued(b[next:], comma) > 0 {
		return n
	}
	return 0
}

// value takes a number or a stamp at i.
func (s *scanner) value(b []byte, i, label int) int {
	if sec, full, n := stamp(b[i:]); n > 0 {
		s.add(slot{kind: slotStamp, labelLo: label, labelHi: i, lo: i, hi: i + n, num: number{v: sec}, full: full})
		return n
	}
	num, n := parseNumber(b[i:], s.comma)
	if n == 0 {
		return 0
	}
	end := i + n
	if end < len(b) && (b[end] == '.' || b[end] == ':') && end+1 < len(b) && isDigit(b[end+1]) || end+1 < len(b) && b[i] == '0' && b[i+1]|0x20 == 'x' {
		return 0 // a version, an address, a hexadecimal number: nothing we read
	}
	u, lo, hi := readUnit(b[end:])
	if u == nil && hi > lo && hi-lo > 4 {
		return 0 // letters that are no unit: a name
	}
	if u == nil && percentAhead(b[label:i]) {
		u = findUnit("%")
	}
	s.add(slot{kind: slotNumber, labelLo: label, labelHi: i, lo: i, hi: end, unitLo: end + lo, unitHi: end + hi, unit: u, num: num})
	return n + hi
}

func (s *scanner) add(v slot) {
	s.slots = append(s.slots, v)
	s.frame = mix(s.frame, 1)
}

// word takes a state, the words of a lost echo, or any word behind an equals sign as a value.
func (s *scanner) word(b []byte, i, label int, sign byte) int {
	if i > 0 && isWord(b[i-1]) {
		return 0
	}
	if n := phrase(b[i:]); n > 0 && (sign == ':' || sign == '=' || i > label && hasLetter(b[label:i])) {
		return s.addWord(b, i, n, label)
	}
	n := 0
	for i+n < len(b) && (isWord(b[i+n]) || b[i+n] == '-' || b[i+n] == '*' || b[i+n] == '?' || b[i+n] == '/') {
		n++
	}
	if n == 0 {
		return 0
	}
	next := skipSpace(b, i+n)
	if next < len(b) && (b[next] == '=' || b[next] == ':') {
		return 0 // it is a label
	}
	if k := bytes.LastIndexByte(b[i:i+n], '_'); k > 1 && onOff(b[i+k+1:i+n]) && !onOff(b[i:i+n]) { // PUMP_ON
		return k + 1 + s.addWord(b, i+k+1, n-k-1, label)
	}
	switch {
	case sign == '=':
	case sign == ':' && (next >= len(b) || b[next] == ',' || b[next] == ';' || b[next] == '|' || b[next] == '\n' || next > i+n+1 || b[next] == '\t'):
	case i > label && stateOf(b[i:i+n]) != 0 && (sign == ':' || hasLetter(b[label:i])):
	case i > label && !hasLetter(b[i:i+n]) && stateOf(b[i:i+n]) == wordLost && unitFollows(b[i+n:]): // | --% |
	default:
		return 0
	}
	return s.addWord(b, i, n, label)
}

func (s *scanner) addWord(b []byte, i, n, label int) int {
	v := slot{kind: slotWord, labelLo: label, labelHi: i, lo: i, hi: i + n}
	if stateOf(b[i:i+n]) == wordLost || phrase(b[i:]) == n { // the unit may still be printed
		if u, lo, hi := readUnit(b[i+n:]); u != nil {
			v.unit, v.unitLo, v.unitHi = u, i+n+lo, i+n+hi
			n += hi
		}
	}
	s.add(v)
	return n
}

// unitFollows tells that a unit stands behind a mark without a label: it holds the place of a number.
func unitFollows(b []byte) bool {
	u, _, _ := readUnit(b)
	return u != nil
}

func onOff(b []byte) bool {
	s := stateOf(b)
	return s == wordOn || s == wordOff
}

func hasLetter(b []byte) bool {
	for _, c := range b {
		if isLetter(c) {
			return true
		}
	}
	return false
}

// stateOf is the kind of a state word, 0 when it is none.
func stateOf(b []byte) int {
	if len(b) == 0 || len(b) > 16 {
		return 0
	}
	var low [16]byte
	n := copy(low[:], b)
	for i := range n {
		if low[i] = lowByte(low[i]); low[i] >= 0x80 {
			return stateWords[fold(string(b))]
		}
	}
	return stateWords[string(low[:n])]
}

// phrase is the length of a lost echo's words at the start of b.
func phrase(b []byte) int {
	for _, p := range lostPhrases {
		if len(b) >= len(p) && (len(b) == len(p) || !isWord(b[len(p)])) && foldedEqual(b[:len(p)], p) {
			return len(p)
		}
	}
	return 0
}

func foldedEqual(b []byte, s string) bool {
	if len(b) != len(s) {
		return false
	}
	for i := range b {
		if lowByte(b[i]) != s[i] {
			return false
		}
	}
	return true
}

// labelOf is the label of a slot as a dialect names it: the words after the last mark before it.
func labelOf(b []byte) string {
	end := len(b)
	if percentAhead(b) {
		end--
	}
	for end > 0 && (b[end-1] == ' ' || b[end-1] == '\t' || b[end-1] == ':' || b[end-1] == '=' || b[end-1] == '>' || b[end-1] == '\'' ||
		b[end-1] == '"' || b[end-1] == '~' || b[end-1] == '(' || b[end-1] == '[' || b[end-1] == '<' || b[end-1] == '-' || b[end-1] == '.') {
		end--
	}
	start := end
	if sep := b[end:]; end > 0 && len(sep) > 0 && (b[end-1] == ')' || b[end-1] == ']') { // level(%)=, dist [cm]:
		if i := bytes.LastIndexAny(b[:end], "(["); i > 0 {
			start = i
		}
	}
	for start > 0 {
		switch b[start-1] {
		case ':', ',', ';', '|', '(', ')', '[', ']', '>', '\n', '=', '{', '}', '\'', '"', '*', '#', '/', '!':
			return trimLabel(b[start:end])
		}
		start--
	}
	return trimLabel(b[:end])
}

// percentAhead tells whether what stands before a number ends with its percent sign, as Turkish writes it: %54.
func percentAhead(b []byte) bool {
	n := len(b) - 1
	return n > 0 && b[n] == '%' && (b[n-1] == ' ' || b[n-1] == ':' || b[n-1] == '=')
}

func trimLabel(b []byte) string {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\t' || b[0] == '-' || b[0] == '.' || b[0] == '%') {
		b = b[1:]
	}
	if len(b) > 60 {
		b = b[len(b)-60:]
	}
	if n := len(b) - 3; n > 0 && (string(b[n:]) == " en" || string(b[n:]) == " em") {
		b = b[:n] // pompe en marche, pompe arrêtée: the same label
	}
	return string(b)
}
