//go:build unix

package port

import (
	"os"
	"os/user"
	"strconv"
	"syscall"

	"golang.org/x/sys/unix"
)

// claim takes the device for this program: a lock on the device node itself, because the terminal's own
// exclusive mode does not stop root, and gateways often run as root. The control lines are dropped here,
// on the first handle: on unix they are raised by the opening and cannot be kept low, only kept short.
func claim(dev string, keepLines bool) (release func(), hasLines bool, err error) {
	fd, err := unix.Open(dev, unix.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
	if err != nil {
		return nil, false, err
	}
	if bits, err := unix.IoctlGetInt(fd, unix.TIOCMGET); err == nil {
		hasLines = true
		if !keepLines {
			_ = unix.IoctlSetPointerInt(fd, unix.TIOCMSET, bits&^(unix.TIOCM_DTR|unix.TIOCM_RTS))
		}
	}
	if err := unix.Flock(fd, unix.LOCK_EX|unix.LOCK_NB); err != nil {
		unix.Close(fd)
		return nil, false, err
	}
	return func() { unix.Close(fd) }, hasLines, nil
}

// rightHint names the group that may open the device.
func rightHint(dev string) string {
	if g := groupOf(dev); g != "" {
		return "add yourself to the " + g + " group and log in again"
	}
	return "ask the administrator for the right to read it"
}

// groupOf is the group that owns the device and may read it, or "".
func groupOf(dev string) string {
	fi, err := os.Stat(dev)
	if err != nil {
		return ""
	}
	st, ok := fi.Sys().(*syscall.Stat_t)
	if !ok || fi.Mode().Perm()&0o060 != 0o060 {
		return ""
	}
	g, err := user.LookupGroupId(strconv.Itoa(int(st.Gid)))
	if err != nil {
		return strconv.Itoa(int(st.Gid))
	}
	return g.Name
}
