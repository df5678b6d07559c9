//go:build unix

package screentest

import (
	"os"
	"os/exec"
	"syscall"
	"testing"

	"github.com/creack/pty"
)

// StartFunc runs a function on the program's side of a pseudo-terminal, as it would run in a shell.
// The function should return when its context or terminal ends; the terminal is closed with the test.
func StartFunc(t testing.TB, w, h int, run func(tty *os.File) error) *Screen {
	t.Helper()
	master, tty, err := pty.Open()
	if err != nil {
		t.Fatalf("opening a pseudo-terminal: %v", err)
	}
	s, read := onPTY(t, master, w, h)
	s.resize = func(w, h int) {
		setSize(t, master, w, h)
		_ = syscall.Kill(syscall.Getpid(), syscall.SIGWINCH) // ours is not its controlling terminal
	}
	go func() {
		defer close(s.done)
		s.err = run(tty)
		_ = tty.Close()
		<-read
	}()
	t.Cleanup(func() {
		_ = master.Close()
	})
	return s
}

// StartCommand runs a program on a pseudo-terminal of its own; it is killed with the test. The
// terminal answers no question, as many do not.
func StartCommand(t testing.TB, w, h int, cmd *exec.Cmd) *Screen {
	t.Helper()
	master, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: uint16(h), Cols: uint16(w)})
	if err != nil {
		t.Fatalf("starting %s on a pseudo-terminal: %v", cmd.Path, err)
	}
	s, read := onPTY(t, master, w, h)
	s.resize = func(w, h int) { setSize(t, master, w, h) }
	go func() {
		defer close(s.done)
		s.err = cmd.Wait()
		<-read
	}()
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		<-s.done
		_ = master.Close()
	})
	return s
}

// onPTY shows what comes from a pseudo-terminal; read is closed when all of it has been shown.
func onPTY(t testing.TB, master *os.File, w, h int) (s *Screen, read chan struct{}) {
	setSize(t, master, w, h)
	s = newScreen(t, w, h)
	s.in = master
	read = make(chan struct{})
	go func() {
		defer close(read)
		buf := make([]byte, 32<<10)
		for {
			n, err := master.Read(buf)
			_, _ = s.Write(buf[:n])
			if err != nil {
				return
			}
		}
	}()
	return s, read
}

func setSize(t testing.TB, master *os.File, w, h int) {
	if err := pty.Setsize(master, &pty.Winsize{Rows: uint16(h), Cols: uint16(w)}); err != nil {
		t.Errorf("setting the size of the terminal: %v", err)
	}
}
