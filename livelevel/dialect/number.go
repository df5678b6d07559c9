package dialect

// number is a decimal number as it stands in a line.
type number struct {
	v        float64
	m        uint64 // all its digits, without sign and point
	decimals int8   // digits after the sign of decimals
	whole    int8   // digits before it
	padded   bool   // written with leading zeros
	exponent bool
}

var pow10 = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18}

const maxDigits = 18

// parseNumber reads a number at the start of b and returns how long it is; 0 when there is none. comma
// says that the decimal sign is a comma.
func parseNumber(b []byte, comma bool) (n number, length int) {
	i := 0
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		i = 1
	}
	start := i
	var m uint64
	for ; i < len(b); i++ {
		d := b[i] - '0'
		if d > 9 {
			break
		}
		m = m*10 + uint64(d)
	}
	whole, decimals := i-start, 0
	if i+1 < len(b) && (b[i] == '.' && !comma || b[i] == ',' && comma) && b[i+1]-'0' <= 9 {
		i++
		point := i
		for ; i < len(b); i++ {
			d := b[i] - '0'
			if d > 9 {
				break
			}
			m = m*10 + uint64(d)
		}
		decimals = i - point
	}
	if digits := whole + decimals; digits == 0 || digits > maxDigits {
		return n, 0
	}
	v := float64(m)
	if decimals > 0 {
		v /= pow10[decimals]
	}
	if b[0] == '-' {
		v = -v
	}
	n.v, n.m, n.whole, n.decimals = v, m, int8(whole), int8(decimals)
	n.padded = whole > 1 && b[start] == '0'
	if i < len(b) && b[i]|0x20 == 'e' {
		i += n.scale(b[i:])
	}
	return n, i
}

// quickNumber is parseNumber without sign and exponent, for the lines of a known look: it hands its results
// back in registers.
func quickNumber(b []byte, point byte) (m uint64, whole, n int) {
	i := 0
	for ; i < len(b); i++ {
		d := b[i] - '0'
		if d > 9 {
			break
		}
		m = m*10 + uint64(d)
	}
	whole = i
	if i+1 < len(b) && b[i] == point && b[i+1]-'0' <= 9 {
		for i++; i < len(b); i++ {
			d := b[i] - '0'
			if d > 9 {
				break
			}
			m = m*10 + uint64(d)
		}
	}
	if i == 0 || i > maxDigits || i < len(b) && b[i]|0x20 == 'e' {
		return 0, 0, 0
	}
	return m, whole, i
}

// scale reads an exponent, as in 4.32e1.
func (n *number) scale(b []byte) int {
	if len(b) < 2 || b[0] != 'e' && b[0] != 'E' {
		return 0
	}
	i, neg := 1, false
	if b[i] == '-' || b[i] == '+' {
		neg = b[i] == '-'
		i++
	}
	e, start := 0, i
	for i < len(b) && b[i]-'0' <= 9 && i-start < 3 {
		e = e*10 + int(b[i]-'0')
		i++
	}
	if i == start || e >= len(pow10) || i < len(b) && isLetter(b[i]) {
		return 0
	}
	if n.exponent = true; neg {
		n.v /= pow10[e]
	} else {
		n.v *= pow10[e]
	}
	return i
}

func isDigit(c byte) bool  { return c-'0' <= 9 }
func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' || c >= 0x80 }
func isWord(c byte) bool   { return isLetter(c) || isDigit(c) || c == '_' }
