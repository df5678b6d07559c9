// Package script is the small text language in which the checks are tested: it makes a feed from a few
// lines and says what the checks must find in it. Only tests import it.
//
// One statement a line; # begins a comment. Values stand until they are changed; play lets time pass.
//
//	window 60s                       sliding window of the checks; without it the whole feed counts
//	seed 7                           of all noise
//	sheet marks.full 0.35 m          a fact of the site sheet
//	tank box 1 m 1 m 1.6 m           length, width, height; or: tank cylinder 1.1 m 1.6 m
//	limit echo-dropouts.some 3 %     a firm's own limit
//	every 100ms                      time between readings
//	ullage 1.20 m                    distance to the water; or: ullage none
//	ramp -0.5 mm/s                   how the distance changes
//	noise 2 mm                       standard deviation, white
//	waves 10 mm 3s                   amplitude and period
//	step 1 cm                        of the display
//	lose 5 %                         pings without echo
//	hide yes                         lost echoes repeat the last value
//	stuck yes                        the reading stands still
//	spikes 3 % 40 cm                 single readings that far away
//	second 30 % at 0.50 m            a second population at a fixed place
//	second 30 % times 2 plus -1 m    or one that moves with the first
//	pump on                          on, off or none (not in the feed)
//	set supply 4.9 V                 any role of a feed, in a unit; set mode 1; clear mode
//	play 60s                         readings come
//	gap 30s                          nothing comes, and nobody notices
//	quiet 30s                        nothing comes, the clock of a live feed ticks
//	restart "brown-out"              a restart; restart "boot" ours
//	reject 5                         lines that do not decode, at the pace of the readings
//	port lost                        lost, back, opened, no-port, busy, no-right
//	repeat 20 ... end                the lines between, so many times
//	at 90s expect reading-spread pass                 play on until then, and look
//	expect echo-dropouts.amount some                  the word of a grade; - for none
//	expect echo-dropouts dropout_fraction 0.18..0.22  a figure; - for unknown
//	expect restarts episodes 2                        how many
//	expect fill-rate missing "pump"                   it cannot tell, and this is what it needs
//	expect fill-rate.rise held 60s                    at least so long
package script

import (
	"fmt"
	"time"

	"example.org/tankhand/livelevel/sheet"
)

// Script is a parsed script.
type Script struct {
	name  string
	lines []statement
}

// statement is one line, its words, and where they stand.
type statement struct {
	words []word
	run   func(p *player) error
	body  []statement // of a repeat
	times int
}

type word struct {
	text string
	at   sheet.Place
}

// Error is a mistake in a script, or an expectation that did not hold, with its place.
type Error struct {
	Place sheet.Place
	Text  string
}

// Error is the place and what is wrong there.
func (e *Error) Error() string { return fmt.Sprintf("%s: %s", e.Place, e.Text) }

// start of the time of a script; any would do.
var start = time.Date(2026, 5, 4, 7, 0, 0, 0, time.UTC)
