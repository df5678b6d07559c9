package dialect

// dimension of a unit in a feed.
type dimension uint8

const (
	noDim dimension = iota
	length
	percent
	duration
	voltage
	current
	celsius
	flowRate
	cubic
	absolute // a date and time
)

// unit is how a number becomes SI: v*scale + offset.
type unit struct {
	name          string
	dim           dimension
	scale, offset float64
}

func (u *unit) si(v float64) float64 { return v*u.scale + u.offset }

const (
	inch   = 0.0254         // exact by definition
	usGal  = 3.785411784e-3 // m3, exact by definition (231 cubic inches)
	litre  = 1e-3
	minute = 60.0
	hour   = 3600.0
)

// units a feed may write behind a number, by the name that dialect files use first.
var units = []unit{
	{"mm", length, 1e-3, 0}, {"cm", length, 1e-2, 0}, {"dm", length, 0.1, 0}, {"m", length, 1, 0},
	{"in", length, inch, 0}, {"ft", length, 12 * inch, 0},
	{"%", percent, 1, 0}, {"fraction", percent, 100, 0}, {"permille", percent, 0.1, 0},
	{"us", duration, 1e-6, 0}, {"ms", duration, 1e-3, 0}, {"s", duration, 1, 0}, {"min", duration, minute, 0},
	{"h", duration, hour, 0}, {"d", duration, 24 * hour, 0},
	{"V", voltage, 1, 0}, {"mV", voltage, 1e-3, 0},
	{"A", current, 1, 0}, {"mA", current, 1e-3, 0},
	{"degC", celsius, 1, 0}, {"degF", celsius, 5.0 / 9, -32 * 5.0 / 9}, {"K", celsius, 1, -273.15},
	{"m3/h", flowRate, 1 / hour, 0}, {"l/min", flowRate, litre / minute, 0}, {"l/h", flowRate, litre / hour, 0},
	{"l/s", flowRate, litre, 0}, {"m3/s", flowRate, 1, 0}, {"gal/min", flowRate, usGal / minute, 0},
	{"m3", cubic, 1, 0}, {"l", cubic, litre, 0}, {"gal", cubic, usGal, 0}, {"ml", cubic, 1e-6, 0}, {"dm3", cubic, litre, 0},
	{"unix", absolute, 1, 0}, {"unix-ms", absolute, 1e-3, 0}, {"clock", absolute, 1, 0},
}

// aliases are other spellings, folded by foldUnit.
var aliases = map[string]string{
	"millimeter": "mm", "millimetre": "mm", "millimeters": "mm", "centimeter": "cm", "centimeters": "cm", "centimetres": "cm",
	"meter": "m", "meters": "m", "metre": "m", "metres": "m", "mtr": "m", "inch": "in", "inches": "in", "\"": "in", "zoll": "in",
	"pulgadas": "in", "pouces": "in", "feet": "ft", "foot": "ft",
	"pct": "%", "percent": "%", "perc": "%", "prozent": "%", "%rh": "%", "rh": "%", "%rf": "%", "procent": "%", "proc": "%", "proz": "%",
	"usec": "us", "µs": "us", "μs": "us", "microseconds": "us", "micros": "us", "msec": "ms", "millis": "ms", "milliseconds": "ms",
	"sec": "s", "secs": "s", "seconds": "s", "sek": "s", "seg": "s", "mins": "min", "hours": "h", "hrs": "h", "std": "h", "days": "d",
	"v": "V", "volt": "V", "volts": "V", "mv": "mV", "millivolt": "mV", "a": "A", "amp": "A", "amps": "A", "ampere": "A", "ma": "mA",
	"c": "degC", "degc": "degC", "celsius": "degC", "f": "degF", "degf": "degF", "fahrenheit": "degF", "k": "K", "kelvin": "K", "grad": "degC",
	"m³/h": "m3/h", "m^3/h": "m3/h", "cbm/h": "m3/h", "lpm": "l/min", "l/m": "l/min", "lph": "l/h", "lps": "l/s", "gpm": "gal/min",
	"m³": "m3", "m^3": "m3", "cbm": "m3", "liter": "l", "liters": "l", "litre": "l", "litres": "l", "litros": "l", "litri": "l", "ltr": "l", "lt": "l",
	"gals": "gal", "gallons": "gal", "gallon": "gal",
}

var unitIndex = func() map[string]*unit {
	m := map[string]*unit{}
	for i := range units {
		m[units[i].name] = &units[i]
		if l := lower(units[i].name); m[l] == nil {
			m[l] = &units[i]
		}
	}
	for a, n := range aliases {
		if m[a] == nil {
			m[a] = m[n]
		}
	}
	return m
}()

// findUnit finds a unit by any of its spellings; nil when it is none.
func findUnit(s string) *unit {
	if u := unitIndex[s]; u != nil {
		return u
	}
	return unitIndex[lower(s)]
}

// unitBytes is findUnit for a piece of a line, without making a string of it.
func unitBytes(b []byte) *unit {
	if len(b) == 0 || len(b) > 12 {
		return nil
	}
	if u := unitIndex[string(b)]; u != nil {
		return u
	}
	var low [12]byte
	n := copy(low[:], b)
	for i := range n {
		low[i] = lowByte(low[i])
	}
	return unitIndex[string(low[:n])]
}

// readUnit finds the unit that stands at the start of b, after at most one space, and returns where it
// starts and ends. A word that a label sign follows is the next label, not a unit.
func readUnit(b []byte) (u *unit, lo, hi int) {
	for lo < len(b) && lo < 2 && b[lo] == ' ' {
		lo++
	}
	at := lo
	at += degree(b[at:])
	hi = at
	for hi < len(b) && hi-at < 12 && (isLetter(b[hi]) || b[hi] == '%' || b[hi] == '"' || b[hi] == '^' ||
		hi > at && (isDigit(b[hi]) || b[hi] == '/')) {
		hi++
	}
	if hi == at {
		return nil, 0, 0
	}
	if b[at] == '%' { // 67%RH or 67%Level
		if hi = at + 1; hi+1 < len(b) && (lower(string(b[hi:hi+2])) == "rh" || lower(string(b[hi:hi+2])) == "rf") {
			hi += 2
		}
	}
	if u = unitBytes(b[at:hi]); u == nil && at > lo {
		return nil, 0, 0
	}
	if next := skipSpace(b, hi); next < len(b) && (b[next] == '=' || b[next] == ':') && lo > 0 {
		return nil, 0, 0
	}
	if u == nil && lo > 0 || lo > 0 && hi-at >= 4 && labels(b, hi) {
		return nil, 0, 0
	}
	return u, lo, hi
}

// labels tells whether a number follows: then a long word is its label ("Hum 88 Volt 5.03").
func labels(b []byte, i int) bool {
	next := skipSpace(b, i)
	return next > i && next < len(b) && isDigit(b[next])
}

// degree is the length of a degree sign in UTF-8 or ISO 8859-1, or of "deg ".
func degree(b []byte) int {
	switch {
	case len(b) >= 2 && b[0] == 0xc2 && (b[1] == 0xb0 || b[1] == 0xba):
		return 2
	case len(b) >= 1 && (b[0] == 0xb0 || b[0] == 0xba):
		return 1
	case len(b) >= 5 && string(b[:4]) == "deg " && (b[4] == 'C' || b[4] == 'F'):
		return 4
	}
	return 0
}

func skipSpace(b []byte, i int) int {
	for i < len(b) && (b[i] == ' ' || b[i] == '\t') {
		i++
	}
	return i
}

func lowByte(c byte) byte {
	if c >= 'A' && c <= 'Z' {
		return c + 'a' - 'A'
	}
	return c
}

func lower(s string) string {
	b := []byte(s)
	for i := range b {
		b[i] = lowByte(b[i])
	}
	return string(b)
}
