//go:build unix

package asbuilt

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// recorder is the program recording from a device that can be pulled out: the name of the device is a link
// to the pseudo-terminal that is plugged in.
type recorder struct {
	t      *testing.T
	cmd    *exec.Cmd
	link   string
	master *os.File
	out    bytes.Buffer
	err    buffer
	sent   []string
}

// buffer can be read while the program writes.
type buffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (b *buffer) Write(p []byte) (int, error) { b.mu.Lock(); defer b.mu.Unlock(); return b.b.Write(p) }
func (b *buffer) String() string              { b.mu.Lock(); defer b.mu.Unlock(); return b.b.String() }

func (r *recorder) plug() {
	master, slave, err := pty.Open()
	require.NoError(r.t, err)
	_ = os.Remove(r.link)
	require.NoError(r.t, os.Symlink(slave.Name(), r.link))
	slave.Close()
	r.master = master
}

func (r *recorder) unplug() {
	require.NoError(r.t, os.Remove(r.link))
	require.NoError(r.t, r.master.Close())
}

// say lets the board send a line that no other is like.
func (r *recorder) say() {
	line := fmt.Sprintf("dist=43.2cm level=67%% line=%d\r\n", len(r.sent))
	_, err := r.master.WriteString(line)
	require.NoError(r.t, err)
	r.sent = append(r.sent, line)
}

// capture is what stands in the raw capture: the bytes, and the events.
func (r *recorder) capture() (data string, events []string) {
	_, path, ok := strings.Cut(r.err.String(), "recording to ")
	if !ok {
		return "", nil
	}
	path, _, _ = strings.Cut(path, "\n")
	text, err := os.ReadFile(path)
	if err != nil {
		return "", nil
	}
	for _, l := range strings.Split(string(text), "\n") {
		var e struct{ Data, Event string }
		if json.Unmarshal([]byte(l), &e) == nil {
			data += e.Data
			if e.Event != "" {
				events = append(events, e.Event)
			}
		}
	}
	return data, events
}

func (r *recorder) until(what string, done func(data string, events []string) bool) {
	r.t.Helper()
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		data, events := r.capture()
		if done(data, events) {
			return
		}
		require.True(r.t, time.Now().Before(end), "waiting until %s: capture holds %q and %q; it said %s", what, data, events, r.err.String())
	}
}

// holds waits until all that was sent is on disk.
func (r *recorder) holds() {
	r.t.Helper()
	r.until("all lines are on disk", func(data string, _ []string) bool { return data == strings.Join(r.sent, "") })
}

// A recording that is to run all night goes on when the link of its terminal is cut, and when the cable is
// pulled out and put in again; every byte that came is on disk.
func TestARecordingOutlivesItsTerminalAndTheCable(t *testing.T) {
	h := newHome(t)
	r := &recorder{t: t, link: filepath.Join(h.dir, "ttyBOARD")}
	r.plug()
	r.cmd = h.command("record", "--port", r.link, "--baud", "9600")
	r.cmd.Stdout, r.cmd.Stderr = &r.out, &r.err
	require.NoError(t, r.cmd.Start())
	defer func() { _ = r.cmd.Process.Kill() }()
	r.until("it is open", func(_ string, events []string) bool { return len(events) > 0 })
	for range 5 {
		r.say()
	}
	r.holds()

	require.NoError(t, r.cmd.Process.Signal(syscall.SIGHUP))
	for range 5 {
		r.say()
	}
	r.holds()

	r.unplug()
	r.until("the loss is on record", func(_ string, events []string) bool { return has(events, "lost") })
	r.plug()
	r.until("it is back", func(_ string, events []string) bool { return has(events, "back") })
	for range 5 {
		r.say()
	}
	r.holds()

	require.NoError(t, r.cmd.Process.Signal(syscall.SIGTERM))
	require.NoError(t, r.cmd.Wait(), r.err.String())
	path := strings.TrimSpace(r.out.String())
	assert.FileExists(t, path, "it says where the file is")
	assert.Equal(t, h.data(), filepath.Dir(filepath.Dir(path)))
}

func has(all []string, one string) bool {
	for _, s := range all {
		if s == one {
			return true
		}
	}
	return false
}
