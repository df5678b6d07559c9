// Package livelevel holds the words that the whole program shares: a Reading is one report of a
// controller, a Level is what the Gauge makes of it, a Window is the recent past.
package livelevel

import (
	"math/bits"
	"time"
)

// Role says what a column of a feed means.
type Role uint8

// The roles of a dialect. A value of a role is held in SI: metres, cubic metres, seconds, volts,
// amperes, cubic metres a second; level-percent, humidity and echo-quality in percent; temperature
// in degrees Celsius; flags as 0 or 1.
const (
	Ignore         Role = iota
	Clock               // "time": the line's own clock, seconds since 1970 UTC
	Echo                // echo time there and back, s
	Ullage              // distance from the sensor's face to the water, m
	UllageRaw           // the same before the firmware's filter, m
	LevelHeight         // "level": height of the water above the bottom, m
	LevelPercent        // percent of the height between the marks
	VolumeRole          // "volume", m3
	Pump                // what the controller commands, 0 or 1
	Mode                // 0 manual, 1 auto
	Demand              // a float or demand input, 0 or 1
	Button              // a push button, 0 or 1
	Supply              // V
	MotorCurrent        // A
	FlowRole            // "flow", m3/s
	AirTemperature      // "temperature", degC
	Humidity            // percent
	Uptime              // s
	ResetCause          // words; see Reading.Text
	Fault               // words; see Reading.Text
	EchoQuality         // percent or the controller's own figure
	LowSet              // as fraction-percent or distance, as the controller says it: percent
	FullSet             // percent
	FullMark            // m from the sensor's face
	EmptyMark           // m from the sensor's face
	roleCount
)

// RoleCount is the number of roles, Ignore included.
const RoleCount = int(roleCount)

var roleNames = [RoleCount]string{"ignore", "time", "echo", "ullage", "ullage-raw", "level", "level-percent", "volume", "pump",
	"mode", "demand", "button", "supply", "motor-current", "flow", "temperature", "humidity", "uptime", "reset-cause", "fault",
	"echo-quality", "low-set", "full-set", "full-mark", "empty-mark"}

// String is the role's word in dialect files.
func (r Role) String() string {
	if int(r) < RoleCount {
		return roleNames[r]
	}
	return "?"
}

// ParseRole finds a role by its word in dialect files.
func ParseRole(s string) (Role, bool) {
	for i, n := range roleNames {
		if n == s {
			return Role(i), true
		}
	}
	return Ignore, false
}

// Kind says what one item of a feed is: a report, or something that happened between reports.
type Kind uint8

// The kinds. Checks see them in the order in which they came.
const (
	Report   Kind = iota // a line, or block of lines, that decoded
	Restart              // boot text or an uptime that fell back; Text says by what it was seen
	Rejected             // a line that did not decode; Text says why
	Opened               // the port was opened, by us
	Lost                 // the port went away (unplugged, link cut)
	Back                 // the port came back
	Tick                 // nothing came: the clock of a live feed, so that silence can be judged
	Refused              // the port could not be opened; Text is no-port, busy or no-right
)

// UnitOpen is the Text of a rejected line that is understood but for the unit of its distance.
const UnitOpen = "the unit of the distance is not known"

// Reading is one item of a feed. The values are in SI; one that the controller did not send is
// absent, never a magic number. A restart, a rejected line or a lost port is a Reading of that Kind.
type Reading struct {
	// Time is when: the arrival, or the line's own clock; zero when the feed has no time at all.
	Time time.Time
	Kind Kind
	// EchoLost: the controller said that it heard no echo. The ullage is then absent.
	EchoLost bool
	// Ours marks a restart that followed our own opening of the port within 5 s.
	Ours   bool
	have   uint32
	values [RoleCount]float64
	// Text is the words of a reset cause or fault, the boot line of a restart, or why a line was
	// rejected; bounded, and not yet made safe for a terminal.
	Text string
}

// Get returns the value of a role and whether the controller sent one.
func (r *Reading) Get(role Role) (float64, bool) {
	return r.values[role], r.have&(1<<role) != 0
}

// Has tells whether the controller sent the role.
func (r *Reading) Has(role Role) bool { return r.have&(1<<role) != 0 }

// Set gives the role a value.
func (r *Reading) Set(role Role, v float64) { r.values[role] = v; r.have |= 1 << role }

// Clear makes the role absent.
func (r *Reading) Clear(role Role) { r.values[role] = 0; r.have &^= 1 << role }

// On returns a flag's state and whether it was sent.
func (r *Reading) On(role Role) (on, sent bool) {
	v, ok := r.Get(role)
	return v >= 0.5, ok
}

// Times says where the times of a feed come from.
type Times string

// The words of feed.times in the survey.
const (
	ByArrival  Times = "arrival"
	ByLine     Times = "line"
	ByInterval Times = "interval"
	NoTimes    Times = "none"
)

// Merge takes over the values, words and signs of o that r does not have.
func (r *Reading) Merge(o *Reading) {
	for have := o.have &^ r.have; have != 0; have &= have - 1 {
		role := bits.TrailingZeros32(have)
		r.values[role] = o.values[role]
	}
	r.have |= o.have
	if r.Text == "" {
		r.Text = o.Text
	}
}
