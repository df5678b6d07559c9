package dialect

import (
	"bytes"
	"unicode/utf8"
)

// LineKind is what a line is that decodes to no reading.
type LineKind uint8

// The kinds.
const (
	Damaged  LineKind = iota // garbage, or a line that ought to be a report
	Chatter                  // readable words that are no report
	BootText                 // what a controller says when it starts
)

// bootMarks are words of boot loaders and start-up banners in general, folded (common practice, no source).
var bootMarks = [][]byte{[]byte("rst:"), []byte("boot:"), []byte("reset cause"), []byte("reset reason"), []byte("booting"), []byte("boot mode"),
	[]byte("start-up"), []byte("startup"), []byte("starting up"), []byte("power on reset"), []byte("power-on reset"), []byte("poweron"),
	[]byte("bootloader"), []byte("boot loader"), []byte("brownout"), []byte("brown-out"), []byte("watchdog"), []byte("wdt reset"), []byte("neustart"),
	[]byte("systemstart"), []byte("firmware v"), []byte("firmware version"), []byte("reboot"), []byte("restarted"), []byte("redemarrage"),
	[]byte("demarrage"), []byte("reinicio"), []byte("arranque"), []byte("avvio"), []byte("riavvio"), []byte("uruchomienie"), []byte("opnieuw gestart"),
	[]byte("opstarten"), []byte("system ready"), []byte("controller ready"), []byte("self test"), []byte("setup complete"), []byte("setup done"),
	[]byte("initializing"), []byte("initialising"), []byte("guru meditation"), []byte("panic"), []byte("exception ("), []byte("backtrace:"),
	[]byte("system start"), []byte("selftest"), []byte("self-test"), []byte("*** reset"), []byte("reset ("), []byte("power-up"), []byte("power up"), []byte("powerup"),
	[]byte("cold start"), []byte("warm start"), []byte("kaltstart"), []byte("reset:")}

// Classify judges a line without a dialect.
func Classify(line []byte) LineKind {
	var c cleaner
	b := c.clean(line)
	switch {
	case isBoot(b):
		return BootText
	case readable(b):
		return Chatter
	}
	return Damaged
}

// isBoot looks for the words of a start.
func isBoot(b []byte) bool {
	if len(b) < 4 || !isPlain(b) {
		return false
	}
	var buf [256]byte
	n := copy(buf[:], b)
	for i := range n {
		buf[i] = lowByte(buf[i])
	}
	for _, m := range bootMarks {
		if bytes.Contains(buf[:n], m) {
			return true
		}
	}
	return false
}

// readable tells words from noise: printable, and mostly letters in words of some length.
func readable(b []byte) bool {
	if len(b) == 0 {
		return true
	}
	if !isPlain(b) || !utf8.Valid(b) {
		return false
	}
	letters, run, best := 0, 0, 0
	for _, c := range b {
		if isLetter(c) {
			letters++
			run++
			best = max(best, run)
		} else {
			run = 0
		}
	}
	rule := bytes.Trim(b, "-=*#_~+. ")
	return len(rule) == 0 || best >= 3 && letters*2 >= len(b)
}
