package dialect

import "strings"

// ordinal is the length of what counts or names and measures nothing: the index behind a name, as in ctl[12], and
// the month and day before a time, as system logs write them ("May  1 07:31:00").
func ordinal(b []byte, i int) int {
	switch c := b[i]; {
	case c == '[' && i > 0 && isWord(b[i-1]):
		n := leadingDigits(b[i+1:])
		if end := i + 1 + n; n > 0 && end < len(b) && b[end] == ']' {
			return n + 2
		}
	case isLetter(c) && (i == 0 || !isWord(b[i-1])):
		return monthAndDay(b[i:])
	}
	return 0
}

const months = "jan feb mar apr may jun jul aug sep oct nov dec "

// monthAndDay is the length of "May  1 " before a time of day.
func monthAndDay(b []byte) int {
	if len(b) < 10 || b[3] != ' ' || !strings.Contains(months, lower(string(b[:4]))) {
		return 0
	}
	at := skipSpace(b, 3)
	n := leadingDigits(b[at:])
	if n == 0 || n > 2 || at+n >= len(b) || b[at+n] != ' ' {
		return 0
	}
	if _, l := timeOfDay(b[at+n+1:]); l == 0 {
		return 0
	}
	return at + n + 1
}

func leadingDigits(b []byte) (n int) {
	for n < len(b) && isDigit(b[n]) {
		n++
	}
	return n
}
