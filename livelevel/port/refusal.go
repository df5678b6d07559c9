package port

import (
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"syscall"

	"go.bug.st/serial"
)

// Refusal is an error of a port in the words a technician needs: what was being done, on what, why,
// and what to do. It wraps both its kind (ErrNoPort, ErrBusy, ErrNoRight, ErrLost) and its cause.
type Refusal struct {
	Doing, Source string
	Kind          error
	Cause         error
	Do            string
}

// Error says what was being done, on what, why it failed and what to do.
func (r *Refusal) Error() string {
	s := fmt.Sprintf("%s %s: %v", r.Doing, r.Source, r.Kind)
	if r.Cause != nil && r.Cause.Error() != r.Kind.Error() {
		s += fmt.Sprintf(": %v", r.Cause)
	}
	if r.Do != "" {
		s += " (" + r.Do + ")"
	}
	return s
}

// Unwrap gives errors.Is both.
func (r *Refusal) Unwrap() []error { return []error{r.Kind, r.Cause} }

func wrap(doing, source string, err error) error {
	return fmt.Errorf("%s %s: %w", doing, source, err)
}

// Word is no-port, busy or no-right: the word of feed-health for a port that could not be opened.
func Word(err error) string {
	switch {
	case errors.Is(err, ErrBusy):
		return "busy"
	case errors.Is(err, ErrNoRight):
		return "no-right"
	}
	return "no-port"
}

// refused maps what the system says at opening a device to one of the kinds.
func refused(source string, err error) error {
	kind, do := ErrNoPort, "see `tankhand ports`, check the cable"
	var pe *serial.PortError
	coded := errors.As(err, &pe)
	switch {
	case coded && pe.Code() == serial.PortBusy, errors.Is(err, syscall.EBUSY), errors.Is(err, syscall.EAGAIN):
		kind, do = ErrBusy, "close the other program that has it open"
	case coded && pe.Code() == serial.PermissionDenied, errors.Is(err, fs.ErrPermission):
		kind, do = ErrNoRight, rightHint(source)
	case coded && pe.Code() == serial.InvalidSerialPort:
		do = "it is not a serial port; a log is read with --file"
	case coded && pe.Code() == serial.InvalidSpeed:
		do = "this device cannot do that rate"
	}
	return &Refusal{Doing: "opening", Source: source, Kind: kind, Cause: err, Do: do}
}

// refusedByNet maps the errors of dialling.
func refusedByNet(source string, err error) error {
	do := "check the address and that the bridge listens there"
	var ne net.Error
	if errors.As(err, &ne) && ne.Timeout() {
		do = "nobody answered in time: check the address and the network"
	}
	if errors.Is(err, os.ErrPermission) {
		return &Refusal{Doing: "opening", Source: source, Kind: ErrNoRight, Cause: err, Do: do}
	}
	return &Refusal{Doing: "opening", Source: source, Kind: ErrNoPort, Cause: err, Do: do}
}
