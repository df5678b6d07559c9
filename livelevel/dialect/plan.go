package dialect

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.org/tankhand/livelevel"
)

// plan is a field made ready for decoding, and what the decoder saw of it so far.
type plan struct {
	// What each line of a known look needs comes first, together.
	role      livelevel.Role
	decimals  int8  // that most of the values so far have
	width     int8  // all values had so many digits before the sign, -1 when not
	zeros     uint8 // values whose last decimal is a zero: such are written out
	told      uint8 // values with the usual decimals, as far as they make a habit
	formed    bool  // both counts are settled
	mixed     bool  // the decimals are not always the same
	bare      bool  // some values began with the decimal sign
	padded    bool  // some were written with leading zeros,
	pads      uint8 // so many of them
	watched   bool  // its digits are compared with those before
	placed    bool  // it tells the level and is known by its place alone
	seen      int   // good values so far
	bad       int   // implausible values in a row
	top       float64
	topWhole  uint64   // the top in units of its last digit, as far as the quick way saw it
	lostWhole []uint64 // what stands for a lost echo, in units of the last digit, once the decimals are known
	fig       figure

	Field
	unit      *unit
	number    int    // n of #n, else 0
	label     string // folded
	lostNum   []float64
	lostWords []string
	on, off   []string

	counts   [10]uint32     // values by decimals
	stamped  bool           // its values are times as people write them
	units    bool           // every value so far had its unit written
	lettered bool           // of a field known by its place: a word stands before it all the same
	zeroes   bool           // a zero was written with its decimals
	stumps   int            // zeros that a cut may have left
	badAt    int            // the last implausible value came behind so many reports
	badLine  int            // and so many lines that were searched
	strange  map[string]int // states it never said, with how often they came
	forms    map[string]int // spellings of states, with how often
}

func newPlan(f Field) (*plan, error) {
	role, ok := livelevel.ParseRole(f.Role)
	if !ok {
		return nil, fmt.Errorf("reading the dialect's field %q: unknown role %q (see the README for the roles)", f.At, f.Role)
	}
	p := &plan{Field: f, role: role, label: fold(f.At), units: true, forms: map[string]int{}, top: math.Inf(-1)}
	// A header may begin with the sign that comments it out for other programs: "#time" names a column.
	if n, ok := strings.CutPrefix(f.At, "#"); ok && !hasLetter([]byte(n)) {
		i, err := strconv.Atoi(n)
		if err != nil || i < 1 || i > maxSlots {
			return nil, fmt.Errorf("reading the dialect's field %s: %q is no place (want #1 to #%d)", f.Role, f.At, maxSlots)
		}
		p.number = i
	}
	if f.Unit != "" && role != livelevel.Ignore {
		if p.unit = findUnit(f.Unit); p.unit == nil {
			return nil, fmt.Errorf("reading the dialect's field %s: unknown unit %q (mm, cm, m, in, %%, us, ms, s, V, degC, l/min, ...)", f.Role, f.Unit)
		}
	}
	p.watched, p.placed = measures(role), p.number > 0 && p.tellsLevel()
	p.words()
	return p, nil
}

func (p *plan) words() {
	for _, w := range p.Lost {
		if v, n := parseNumber([]byte(w), false); n == len(w) && n > 0 {
			p.lostNum = append(p.lostNum, v.v)
		} else {
			p.lostWords = append(p.lostWords, fold(w))
		}
	}
	for _, w := range p.On {
		p.on = append(p.on, fold(w))
	}
	for _, w := range p.Off {
		p.off = append(p.off, fold(w))
	}
}

// limits of what can be, by role, in SI: wide, because a wrong reading of a controller is for the checks
// to judge, and only what no installation can show is for the decoder (common practice, no source).
var limits = map[livelevel.Role][2]float64{
	livelevel.Ullage: {0.005, 20}, livelevel.UllageRaw: {0.005, 20}, livelevel.Echo: {30e-6, 0.12},
	livelevel.LevelHeight: {-5, 50}, livelevel.LevelPercent: {-60, 250}, livelevel.VolumeRole: {-1, 1e5},
	livelevel.Pump: {0, 1}, livelevel.Mode: {0, 1}, livelevel.Demand: {0, 1}, livelevel.Button: {0, 1},
	livelevel.Supply: {0, 500}, livelevel.MotorCurrent: {-1, 200}, livelevel.FlowRole: {-0.5, 1},
	livelevel.AirTemperature: {-60, 130}, livelevel.Humidity: {0, 101}, livelevel.Uptime: {0, 1e10}, livelevel.Clock: {0, 1e11},
	livelevel.EchoQuality: {-200, 1e6}, livelevel.LowSet: {-60, 250}, livelevel.FullSet: {-60, 250},
	livelevel.FullMark: {0, 20}, livelevel.EmptyMark: {0, 20},
}

var roleLimits = func() (a [livelevel.RoleCount][2]float64) {
	for r := range a {
		a[r] = [2]float64{math.Inf(-1), math.Inf(1)}
		if l, ok := limits[livelevel.Role(r)]; ok {
			a[r] = l
		}
	}
	return
}()

// measures tells whether a role is a number that goes on from report to report, whose digits damage would make jump.
func measures(r livelevel.Role) bool {
	_, ok := limits[r]
	return ok && r != livelevel.Uptime && r != livelevel.Clock && limits[r] != [2]float64{0, 1}
}

// isEcho tells whether the role comes from the echo, so that it can be lost.
func isEcho(r livelevel.Role) bool {
	return r == livelevel.Ullage || r == livelevel.UllageRaw || r == livelevel.Echo
}

// verdictOf a value.
type valueState uint8

const (
	good valueState = iota
	lostEcho
	absent
	wrong
)

// take judges a number of this field and returns its value in SI.
func (p *plan) take(n number, u *unit) (float64, valueState, string) {
	for _, l := range p.lostNum {
		if n.v == l {
			return 0, p.lostState(), ""
		}
	}
	conv := p.unit
	if u != nil && u != conv {
		if conv == nil || conv.dim == u.dim {
			conv = u
		} else {
			return 0, wrong, "the unit is another"
		}
	}
	v := n.v
	if conv != nil {
		v = conv.si(v)
	}
	lim := &roleLimits[p.role]
	if v < lim[0] || v > lim[1] {
		if isEcho(p.role) && sentinel(n.v) {
			return 0, lostEcho, ""
		}
		return 0, wrong, "the value cannot be"
	}
	if isEcho(p.role) && n.v >= 900 && sentinel(n.v) && v > typical[p.role][1] {
		return 0, lostEcho, ""
	}
	if p.farEnd(n.v) {
		return 0, lostEcho, ""
	}
	return v, good, ""
}

// farEnd tells whether a distance is the round end of a measuring range far above all that was seen.
func (p *plan) farEnd(v float64) bool {
	return isEcho(p.role) && p.seen > 8 && (v > 1.3*p.top && rangeEnd(v) || v > 1.2*p.top && nines(v))
}

func (p *plan) lostState() valueState {
	if isEcho(p.role) || p.role == livelevel.LevelHeight || p.role == livelevel.LevelPercent || p.role == livelevel.VolumeRole {
		return lostEcho
	}
	return absent
}

// sentinel numbers stand for no echo where the value itself cannot be (common practice, no source).
func sentinel(v float64) bool {
	switch v {
	case 0, -1, -99, -999, -9999, 255, 999, 999.9, 9999, 99999, 9999.9, 32767, 65535, 6553.5, 655.35, -127:
		return true
	}
	return v < 0 && v == math.Trunc(v)
}

// nines tells a number of nothing but nines, at least two of them: 99.9, 9999.
func nines(v float64) bool {
	for _, n := range [...]float64{9.9, 99, 9.99, 99.9, 999, 9.999, 99.99, 999.9, 9999, 99.999, 999.99, 9999.9, 99999} {
		if v == n {
			return true
		}
	}
	return false
}

// rangeEnd numbers are the round ends of measuring ranges: one that stands far above everything seen is
// the firmware's way to say that it heard nothing (common practice, no source).
func rangeEnd(v float64) bool {
	switch v {
	case 255, 400, 450, 500, 600, 650, 700, 750, 765, 800, 999, 1000, 1023, 2550, 4000, 4500, 5000, 6000, 6500, 7500, 7650, 8000, 9999, 10000,
		23200, 23529, 25000, 26000, 29000, 30000, 36000, 38000, 40000, 60000:
		return true
	}
	return false
}

// word judges a word of this field.
func (p *plan) word(w []byte) (float64, valueState, string) {
	switch p.role {
	case livelevel.Pump, livelevel.Demand, livelevel.Button, livelevel.Mode:
		return p.flag(w)
	case livelevel.ResetCause, livelevel.Fault:
		return 0, absent, ""
	}
	if len(w) == 0 {
		return 0, p.lostState(), ""
	}
	if stateOf(w) == wordLost || phrase(w) == len(w) || p.has(p.lostWords, w) {
		return 0, p.lostState(), ""
	}
	return 0, wrong, "it is no number"
}

func (p *plan) has(list []string, w []byte) bool {
	if len(list) == 0 {
		return false
	}
	f := fold(string(w))
	for _, l := range list {
		if l == f {
			return true
		}
	}
	return false
}

// flag judges a state word. Once its spelling is known, another spelling of the same word is damage.
func (p *plan) flag(w []byte) (float64, valueState, string) {
	known := p.forms[string(w)]
	v, ok := p.state(w)
	switch {
	case !ok && (string(w) == "null" || string(w) == "-" || string(w) == "--"):
		return 0, absent, ""
	case !ok:
		return 0, wrong, "it is no state"
	case known == 0 && p.spelled(w):
		return 0, wrong, "the word is written in another way"
	case known == 0 && p.settled(w):
		return 0, wrong, "it never said that word"
	}
	if len(p.forms) < 16 || known > 0 {
		p.forms[string(w)] = known + 1
	}
	return v, good, ""
}

// settled tells whether both words of a flag are known and this is none of them: it must come a few times first.
func (p *plan) settled(w []byte) bool {
	if len(p.on) == 0 || len(p.off) == 0 || p.has(p.on, w) || p.has(p.off, w) {
		return false
	}
	if len(p.strange) >= maxStrange {
		return true
	}
	if p.strange == nil {
		p.strange = map[string]int{}
	}
	p.strange[string(w)]++
	return p.strange[string(w)] < probation
}

const maxStrange = 16

func (p *plan) state(w []byte) (float64, bool) {
	switch {
	case p.has(p.on, w):
		return 1, true
	case p.has(p.off, w):
		return 0, true
	}
	switch s := stateOf(w); {
	case s == wordOn || s == wordAuto && p.role == livelevel.Mode:
		return 1, true
	case s == wordOff || s == wordManual && p.role == livelevel.Mode:
		return 0, true
	}
	return 0, false
}

// spelled tells whether the word was seen in other letters.
func (p *plan) spelled(w []byte) bool {
	f := fold(string(w))
	for form, n := range p.forms {
		if n > 0 && fold(form) == f {
			return true
		}
	}
	return false
}
