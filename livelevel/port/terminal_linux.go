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
	before, err := unix.IoctlGetInt(fd, unix.TIOCINQ)
	for end := time.Now().Add(patientWrite); err == nil && before > highWater; {
		time.Sleep(time.Millisecond)
		var n int
		n, err = unix.IoctlGetInt(fd, unix.TIOCINQ)
		if n < before {
			end = time.Now().Add(patientWrite)
		} else if time.Now().After(end) {
			return true
		}
		before = n
	}
	return false
}

func (p *Pair) flush() {
	fd := int(p.slave.Fd())
	if n, err := unix.IoctlGetInt(fd, unix.TIOCINQ); err == nil {
		p.Dropped += int64(n)
	}
	_ = unix.IoctlSetInt(fd, unix.TCFLSH, unix.TCIFLUSH)
}
