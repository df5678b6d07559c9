// Package port is the only room that touches a device: a serial port, a network bridge, a file,
// standard input, a practice rig, each opened as a stream of bytes with arrival times.
package port

import (
	"context"
	"errors"
	"time"

	"example.org/tankhand/livelevel"
)

// Errors that a stream or an opener wraps, so that silence, an unplugged device and our own close
// stay three different things. The end of a file is io.EOF.
var (
	ErrLost    = errors.New("the port went away")
	ErrClosed  = errors.New("the port was closed by us")
	ErrNoPort  = errors.New("no such port")
	ErrBusy    = errors.New("the port is held by another program")
	ErrNoRight = errors.New("no right to open the port")
)

// Chunk is some bytes and when they came. Data is nil when nothing came until At (silence).
// Data belongs to the stream until the next call.
type Chunk struct {
	At   time.Time
	Data []byte
	// Event is set for what a replayed capture recorded beside bytes: "lost", "back", "baud".
	Event string
}

// Stream is an open port.
type Stream interface {
	// Next blocks until bytes came, a quarter of a second of silence passed, or the stream ended:
	// io.EOF, ErrLost or ErrClosed (wrapped). After the first error it keeps returning it.
	Next() (Chunk, error)
	// Close wakes a blocked Next; it may be called twice.
	Close() error
}

// Opener knows how to open one port, again and again.
type Opener interface {
	Open(ctx context.Context) (Stream, error)
	Info() Info
}

// Info describes a port for the screen, the capture and the survey.
type Info struct {
	Source string // "/dev/ttyUSB0", "log.txt", "rig face-wet"
	Baud   int    // 0 where it has none
	Live   bool   // bytes arrive by the clock of the world (a rig's own clock counts)
	// Reopens: a lost port may come back, so the feed polls for it.
	Reopens bool
	// Times is where times come from unless the dialect finds a clock in the lines of a raw log.
	Times livelevel.Times
	// ClockRate is how many times as fast as the world's clock the arrival times go; 0 and 1: alike.
	ClockRate float64
	// MayRestart: opening this port may restart the board behind it.
	MayRestart bool
}

// Simulation is what a practice rig is to this room: something that makes bytes as time goes by.
type Simulation interface {
	// Connect is called at each opening; an error wraps ErrNoPort, ErrBusy or ErrNoRight by having
	// a method PortRefusal() string that returns no-port, busy or no-right.
	Connect() error
	// Advance moves the installation on by d and returns the bytes it sent meanwhile; the slice is
	// good until the next call.
	Advance(d time.Duration) []byte
}

// Clock is implemented by openers whose clock goes on while the port is away.
type Clock interface {
	Now() time.Time
}
