//go:build unix

package port

import (
	"os"
	"sync"
	"time"

	"github.com/creack/pty"
	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

// Pair is a pseudo-terminal whose far end looks like a serial port to any program.
type Pair struct {
	mu      sync.Mutex
	master  *os.File
	slave   *os.File
	closed  bool
	read    bool  // somebody took bytes since the last were dropped
	waiting int   // bytes that waited for a reader at the last write
	Dropped int64 // bytes that nobody read in time
}

// Terminal opens a pseudo-terminal pair. What is written to the pair comes out of the port Name.
func Terminal() (*Pair, error) {
	blocking, slave, err := pty.Open()
	if err != nil {
		return nil, wrap("opening", "a pseudo-terminal", err)
	}
	master, err := unblock(blocking)
	if err != nil {
		slave.Close()
		return nil, wrap("opening", "a pseudo-terminal", err)
	}
	// Opened once as a serial port: that sets the raw mode, without which the terminal would echo.
	p, err := serial.Open(slave.Name(), &serial.Mode{BaudRate: DefaultBaud})
	if err != nil {
		master.Close()
		slave.Close()
		return nil, refused(slave.Name(), err)
	}
	p.Close()
	return &Pair{master: master, slave: slave}, nil
}

// unblock opens the same file again in a way that heeds write deadlines.
func unblock(f *os.File) (*os.File, error) {
	defer f.Close()
	fd, err := unix.FcntlInt(f.Fd(), unix.F_DUPFD_CLOEXEC, 0)
	if err != nil {
		return nil, err
	}
	if err := unix.SetNonblock(fd, true); err != nil {
		unix.Close(fd)
		return nil, err
	}
	return os.NewFile(uintptr(fd), f.Name()), nil
}

// Name is what the other program opens.
func (p *Pair) Name() string { return p.slave.Name() }

// patientWrite is how long a write waits for a reader that is behind.
const patientWrite = 200 * time.Millisecond

// Write implements io.Writer. Like a real line it does not wait for ever: bytes that nobody reads are
// dropped, and no error.
func (p *Pair) Write(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed {
		return 0, wrap("writing to", p.slave.Name(), ErrClosed)
	}
	if p.unread() {
		p.flush()
	}
	defer func() { p.waiting += len(b) }()
	_ = p.master.SetWriteDeadline(time.Now().Add(patientWrite))
	n, err := p.master.Write(b)
	if err != nil && !os.IsTimeout(err) {
		return n, wrap("writing to", p.slave.Name(), err)
	}
	p.Dropped += int64(len(b) - n)
	return len(b), nil
}

// Close ends the pair: the reader at the other end sees its port go away.
func (p *Pair) Close() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed {
		return nil
	}
	p.closed = true
	p.slave.Close()
	return p.master.Close()
}
