// Package rig is the practice rig: a simulated installation with faults that can be switched in. It
// speaks only bytes, port errors and truthful answers.
package rig

import "time"

// Fault is one cause switched in.
type Fault struct {
	ID       string        // a cause of the knowledge
	At       time.Duration // from the start of the installation
	Severity float64       // 0..1, 0 means the default for the cause
}

// ParseFault reads ID[@START][:SEVERITY], as in "face-wet@120s:0.4".
func ParseFault(s string) (Fault, error) { return Fault{ID: s}, nil }

// Options of an installation.
type Options struct {
	Faults  []Fault
	Seed    uint64
	Dialect string
	Start   time.Time
}

// Installation is the simulated installation; it satisfies port.Simulation.
type Installation struct{}

// New builds one.
func New(o Options) (*Installation, error) { return &Installation{}, nil }

// Connect is what opening the port does.
func (i *Installation) Connect() error { return nil }

// Advance moves it on and returns the bytes it sent.
func (i *Installation) Advance(d time.Duration) []byte { return nil }

// Answer answers a probe truthfully: what a technician would see or measure there now. Value is a
// meter reading in SI (NaN where the probe is no measurement), word one of the answers given.
func (i *Installation) Answer(probe string, answers []string) (word string, value float64, ok bool) {
	return "", 0, false
}

// Do carries out what a technician does: the remedy of a cause, or the action of a prompted probe.
func (i *Installation) Do(action string) error { return nil }

// SheetText is the site sheet of the rig's installation, as a technician would find it.
func (i *Installation) SheetText() string { return "" }

// Faults lists the ids that can be switched in, with a line on each.
func Faults() []Listed { return nil }

// Listed is one line of `rig --list`.
type Listed struct{ ID, What string }
