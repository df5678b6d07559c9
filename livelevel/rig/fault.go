package rig

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Fault is one cause switched in.
type Fault struct {
	ID       string        // a cause of the knowledge
	At       time.Duration // from the start of the installation
	Severity float64       // 0..1, 0 means the default for the cause
	// Every and For make it come and go: it is there for the first For of each Every. Every 0 is always.
	Every, For time.Duration
}

// ParseFault reads ID[@START][:SEVERITY][/EVERY,FOR], as in "face-wet@120s:0.4" or
// "loose-joint/60s,15s" (there for the first 15 s of every minute).
func ParseFault(s string) (Fault, error) {
	f := Fault{}
	rest, beat, comesAndGoes := strings.Cut(s, "/")
	rest, severity, graded := strings.Cut(rest, ":")
	id, start, timed := strings.Cut(rest, "@")
	f.ID = strings.TrimSpace(id)
	if _, ok := catalogue[f.ID]; !ok && f.ID != "healthy" {
		return f, fmt.Errorf("reading fault %q: no cause is called %q (tankhand rig --list names them)", s, f.ID)
	}
	var err error
	if timed {
		if f.At, err = parseTime(start); err != nil {
			return f, fmt.Errorf("reading fault %q: start %q: %w (write it as in face-wet@120s)", s, start, err)
		}
	}
	if graded {
		if f.Severity, err = strconv.ParseFloat(severity, 64); err != nil || !(f.Severity > 0 && f.Severity <= 1) {
			return f, fmt.Errorf("reading fault %q: severity %q is no number above 0 and up to 1", s, severity)
		}
	}
	if comesAndGoes {
		if err = f.parseBeat(beat); err != nil {
			return f, fmt.Errorf("reading fault %q: %w", s, err)
		}
	}
	return f, nil
}

func (f *Fault) parseBeat(beat string) error {
	every, span, ok := strings.Cut(beat, ",")
	if !ok {
		return fmt.Errorf("%q is no pair of times (write /60s,15s: every minute for 15 s)", beat)
	}
	var err error
	if f.Every, err = parseTime(every); err != nil {
		return fmt.Errorf("time %q: %w", every, err)
	}
	if f.For, err = parseTime(span); err != nil {
		return fmt.Errorf("time %q: %w", span, err)
	}
	if f.For <= 0 || f.For >= f.Every {
		return fmt.Errorf("it would be there for %v of every %v; the first must be the shorter, and above 0", f.For, f.Every)
	}
	return nil
}

func parseTime(s string) (time.Duration, error) {
	d, err := time.ParseDuration(strings.TrimSpace(s))
	if err != nil {
		return 0, fmt.Errorf("no time with a unit such as 90s or 5m")
	}
	if d < 0 {
		return 0, fmt.Errorf("a time before the start")
	}
	return d, nil
}

// switched is a fault in an installation.
type switched struct {
	Fault
	cause   *cause
	mended  bool
	present bool
	since   float64 // when it last became present, s
}

func (i *Installation) switchIn(f Fault) error {
	if f.ID == "healthy" {
		return nil
	}
	c, ok := catalogue[f.ID]
	if !ok {
		return fmt.Errorf("switching in fault %q: no cause is called so (tankhand rig --list names them)", f.ID)
	}
	if f.Severity < 0 || f.Severity > 1 || math.IsNaN(f.Severity) {
		return fmt.Errorf("switching in fault %q: severity %g is outside 0 to 1", f.ID, f.Severity)
	}
	if f.Severity == 0 {
		f.Severity = c.usual
	}
	i.faults = append(i.faults, switched{Fault: f, cause: c})
	return nil
}

// due tells whether the fault is there at a time.
func (s *switched) due(now float64) bool {
	from := now - s.At.Seconds()
	if s.mended || from < 0 {
		return false
	}
	return s.Every <= 0 || math.Mod(from, s.Every.Seconds()) < s.For.Seconds()
}

// refresh works out the conditions anew when a fault came or went or a test began or ended.
func (i *Installation) refresh() {
	changed := i.ticks == 0
	for k := range i.faults {
		f := &i.faults[k]
		if due := f.due(i.now); due != f.present || i.ticks == 0 {
			if f.present = due; due {
				f.since = i.now
			}
			changed = true
		}
	}
	if i.endTests() || changed {
		i.recompute()
	}
}

func (i *Installation) recompute() {
	i.cond = healthy()
	for k := range i.faults {
		if f := &i.faults[k]; f.present {
			f.cause.effect(&i.cond, f.Severity)
		}
	}
	for _, t := range i.tests {
		if t.from <= i.now && t.effect != nil {
			t.effect(&i.cond)
		}
	}
	i.board.relearn(&i.cond)
}
