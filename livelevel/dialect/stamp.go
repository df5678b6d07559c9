package dialect

import "time"

// stamp reads a date and time (ISO 8601, a space instead of T as well), or a time of day, at the start
// of b. It returns seconds since 1970 in UTC or since midnight, and how long it is; 0 when there is none.
func stamp(b []byte) (sec float64, full bool, n int) {
	if len(b) >= 10 && b[4] == b[7] && (b[4] == '-' || b[4] == '/') {
		y, ok1 := digits(b[:4])
		m, ok2 := digits(b[5:7])
		d, ok3 := digits(b[8:10])
		if !ok1 || !ok2 || !ok3 || m < 1 || m > 12 || d < 1 || d > 31 || y < 1970 || y > 2200 {
			return 0, false, 0
		}
		day := float64(time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC).Unix())
		if len(b) < 15 || b[10] != 'T' && b[10] != ' ' && b[10] != 't' {
			return 0, false, 0
		}
		s, l := timeOfDay(b[11:])
		if l == 0 {
			return 0, false, 0
		}
		l += 11
		off, z := zone(b[l:])
		return day + s - off, true, l + z
	}
	s, l := timeOfDay(b)
	return s, false, l
}

// timeOfDay reads 07:31, 07:31:05, 07:31:05.123; hours may go on for an uptime.
func timeOfDay(b []byte) (sec float64, n int) {
	i := 0
	for i < len(b) && i < 5 && isDigit(b[i]) {
		i++
	}
	if i == 0 || i+2 >= len(b) || b[i] != ':' {
		return 0, 0
	}
	h, _ := digits(b[:i])
	m, ok := digits(b[i+1 : i+3])
	if !ok || m > 59 {
		return 0, 0
	}
	n = i + 3
	sec = float64(h)*hour + float64(m)*minute
	if n+2 < len(b) && b[n] == ':' {
		s, ok := digits(b[n+1 : n+3])
		if !ok || s > 60 {
			return 0, 0
		}
		sec += float64(s)
		n += 3
		if f, l := fraction(b[n:]); l > 0 {
			sec += f
			n += l
		}
	} else if i != 2 {
		return 0, 0 // 4:30 may be anything
	}
	if n < len(b) && (isDigit(b[n]) || b[n] == ':') {
		return 0, 0
	}
	return sec, n
}

func fraction(b []byte) (f float64, n int) {
	if len(b) < 2 || b[0] != '.' && b[0] != ',' || !isDigit(b[1]) {
		return 0, 0
	}
	scale := 0.1
	for n = 1; n < len(b) && isDigit(b[n]); n++ {
		f += float64(b[n]-'0') * scale
		scale /= 10
	}
	return f, n
}

// zone reads Z, +02:00 or -0530.
func zone(b []byte) (offset float64, n int) {
	if len(b) > 0 && (b[0] == 'Z' || b[0] == 'z') {
		return 0, 1
	}
	if len(b) < 5 || b[0] != '+' && b[0] != '-' {
		return 0, 0
	}
	h, ok := digits(b[1:3])
	i := 3
	if b[i] == ':' {
		i++
	}
	if !ok || len(b) < i+2 {
		return 0, 0
	}
	m, ok := digits(b[i : i+2])
	if !ok {
		return 0, 0
	}
	offset = float64(h)*hour + float64(m)*minute
	if b[0] == '-' {
		offset = -offset
	}
	return offset, i + 2
}

func digits(b []byte) (int, bool) {
	v := 0
	for _, c := range b {
		if !isDigit(c) {
			return 0, false
		}
		v = v*10 + int(c-'0')
	}
	return v, len(b) > 0
}
