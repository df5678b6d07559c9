package port

import (
	"time"

	"golang.org/x/sys/unix"
)

// highWater is below the 4096 bytes that the terminal keeps for its reader.
const highWater = 3072

// unread waits a little for a reader that is behind, and tells whether nobody reads at all: the bytes
// of hours ago must not be the first that a late reader gets.
func (p *Pair) unread() bool {
	fd := int(p.slave.Fd())
	n, err := unix.IoctlGetInt(fd, unix.TIOCINQ)
	p.read = p.read || n < p.waiting
	for end := time.Now().Add(patientWrite); err == nil && n > highWater; {
		if !p.read || time.Now().After(end) {
			p.read = false
			return true
		}
		time.Sleep(time.Millisecond)
		before := n
		if n, err = unix.IoctlGetInt(fd, unix.TIOCINQ); n < before {
			end = time.Now().Add(patientWrite)
		}
	}
	p.waiting = n
	return false
}

func (p *Pair) flush() {
	fd := int(p.slave.Fd())
	if n, err := unix.IoctlGetInt(fd, unix.TIOCINQ); err == nil {
		p.Dropped += int64(n)
	}
	_ = unix.IoctlSetInt(fd, unix.TCFLSH, unix.TCIFLUSH)
	p.waiting = 0
}

// Heard tells whether a reader has taken all that was written.
func (p *Pair) Heard() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed {
		return false
	}
	n, err := unix.IoctlGetInt(int(p.slave.Fd()), unix.TIOCINQ)
	return err != nil || n == 0
}
