//go:build unix

package asbuilt

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/tui/screentest"
)

// TestAPortThatIsTaken: two programs on one port would each get half of the bytes.
func TestAPortThatIsTaken(t *testing.T) {
	short(t)
	h := newHome(t)
	b := newBoard(t, h.dir)
	first := h.command("record", "--port", b.name, "--for", "1m")
	require.NoError(t, first.Start())
	defer func() { _ = first.Process.Kill(); _ = first.Wait() }()
	within(t, 10*time.Second, "the first program's capture", func() bool {
		found, _ := filepath.Glob(filepath.Join(h.data(), "captures", "*"))
		return len(found) == 1
	})
	r := h.run(t, "survey", "--port", b.name, "--for", "2s")
	assert.Equal(t, 2, r.status)
	assert.Contains(t, r.errs+r.out, "held by another program")
	s := benchOn(t, h, b)
	s.WaitFor("! port refused")
	s.Resize(120, 36)
	s.WaitFor("held by another")
	require.NoError(t, first.Process.Signal(syscall.SIGTERM))
	s.WaitFor("+ feed good") // it is taken as soon as it is free
	leave(t, s)
}

// stranger runs a command as a user who has no rights here.
func stranger(t *testing.T, cmd *exec.Cmd) *exec.Cmd {
	if os.Geteuid() != 0 {
		return cmd // one's own port with no rights on it will do
	}
	const nobody = 65534
	require.NoError(t, os.Chown(cmd.Dir, nobody, nobody))
	for dir := cmd.Dir; dir != os.TempDir() && len(dir) > 1; dir = filepath.Dir(dir) {
		require.NoError(t, os.Chmod(dir, 0o755))
	}
	require.NoError(t, os.Chmod(filepath.Dir(program), 0o755))
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	return cmd
}

func TestAPortWithoutTheRight(t *testing.T) {
	short(t)
	h := newHome(t)
	b := newBoard(t, h.dir)
	device, err := filepath.EvalSymlinks(b.name)
	require.NoError(t, err)
	require.NoError(t, os.Chmod(device, 0))
	r := finish(t, stranger(t, h.command("survey", "--port", b.name, "--for", "2s")))
	assert.Equal(t, 2, r.status)
	assert.Contains(t, r.errs+r.out, "no right to open the port")
	assert.Contains(t, r.errs+r.out, "ask the administrator", "what to do where no group has the right either")
}

// uart sends text as 8N1 frames at one rate and reads the line at another: a start bit is seen where
// the line falls, eight bits are looked at in their middles, whatever the line then carries.
func uart(text string, sent, read float64) []byte {
	var line []bool // levels, a sample each tenth of a sent bit
	bit := func(on bool) {
		for range 10 {
			line = append(line, on)
		}
	}
	for _, c := range []byte(text) {
		bit(false)
		for i := range 8 {
			bit(c>>i&1 == 1)
		}
		bit(true)
		bit(true)
	}
	at := func(x float64) bool { return int(x) >= len(line) || line[int(x)] }
	step := 10 * sent / read // samples in a bit as it is read
	var out []byte
	for x := 0.0; int(x) < len(line); {
		if at(x) {
			x++
			continue
		}
		var c byte
		for i := range 8 {
			if at(x + step*(float64(i)+1.5)) {
				c |= 1 << i
			}
		}
		out = append(out, c)
		x += 9.5 * step // the middle of the stop bit
	}
	return out
}

// TestAWrongRateIsNamed: what a receiver makes of a line at another rate is not readings.
func TestAWrongRateIsNamed(t *testing.T) {
	short(t)
	require.Equal(t, usual(7), string(uart(usual(7), 9600, 9600)), "the line itself is sound")
	for _, rates := range [][2]float64{{9600, 115200}, {115200, 9600}, {57600, 115200}, {9600, 19200}, {115200, 74880}} {
		t.Run(fmt.Sprintf("sent at %.0f read at %.0f", rates[0], rates[1]), func(t *testing.T) {
			t.Parallel()
			h := newHome(t)
			b := newBoard(t, h.dir)
			b.speak(func(n int) string { return string(uart(usual(n), rates[0], rates[1])) })
			r := h.run(t, "survey", "--port", b.name, "--baud", fmt.Sprintf("%.0f", rates[1]), "--for", "15s")
			assert.NotEqual(t, 0, r.status, r.out)
			assert.NotContains(t, r.out, "+ feed-health")
			assert.Contains(t, r.out+r.errs, "rate", "the advice:\n%s", r.out)
			for _, c := range r.out {
				assert.False(t, c < ' ' && c != '\n' || c == 0x7f, "control character %q", c)
			}
		})
	}
}

// peak is the most memory that a running program has had resident, in MB.
func peak(t testing.TB, pid int) float64 {
	mb, ok := memory(pid, "VmHWM:")
	if !ok {
		t.Skip("this system does not tell the memory of a process")
	}
	return mb
}

// resident is the memory that a program has now, in MB; false where it cannot be told.
func resident(pid int) (mb float64, ok bool) { return memory(pid, "VmRSS:") }

func memory(pid int, which string) (mb float64, ok bool) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0, false
	}
	_, rest, found := strings.Cut(string(text), which)
	if !found {
		return 0, false // it has ended
	}
	kb, err := strconv.ParseFloat(strings.Fields(rest)[0], 64)
	return kb / 1024, err == nil
}

// TestADeviceThatFloods sends without a pause, first lines, then one line without an end, then noise.
func TestADeviceThatFloods(t *testing.T) {
	short(t)
	h := newHome(t)
	pair, err := port.Terminal()
	require.NoError(t, err)
	defer pair.Close()
	stop, stopped := make(chan struct{}), make(chan struct{})
	kinds := []string{strings.Repeat("Distance: 81.2 cm  Pump: ON\r\n", 140), strings.Repeat("x", 4000), strings.Repeat("\x00\xff\x1b[2J\x80", 500)}
	go func() {
		defer close(stopped)
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
				_, _ = pair.Write([]byte(kinds[i/300%3]))
			}
		}
	}()
	defer func() { close(stop); <-stopped }()
	cmd := h.command("bench", "--port", pair.Name(), "--site", h.sheet(t))
	s := screentest.StartCommand(t, 80, 24, cmd)
	s.WaitFor("What does the customer say?")
	s.Type("1")
	s.WaitFor("min so far")
	time.Sleep(8 * time.Second)
	writeNote(s, "written in the flood")
	most := peak(t, cmd.Process.Pid)
	t.Logf("%.0f MB resident at the most", most)
	assert.Less(t, most, 200.0)
	leave(t, s)
	assert.Equal(t, 1, count(h.record(t, 1), "written in the flood"))
}

// TestASuspendedProgram stops the program as a suspended laptop does, while the board goes on.
func TestASuspendedProgram(t *testing.T) {
	short(t)
	h := newHome(t)
	b := newBoard(t, h.dir)
	words := []string{"bench", "--port", b.name, "--site", h.sheet(t)}
	cmd := h.command(words...)
	s := screentest.StartCommand(t, 80, 24, cmd)
	s.WaitFor("m deep")
	s.Type("1")
	s.WaitFor("min so far")
	require.NoError(t, cmd.Process.Signal(syscall.SIGSTOP))
	time.Sleep(6 * time.Second)
	s.Type("n") // pressed while it slept
	require.NoError(t, cmd.Process.Signal(syscall.SIGCONT))
	s.WaitFor("Note: [")
	s.Type("slept", "<enter>")
	s.WaitFor("note stored")
	s.WaitFor("+ feed good")
	s.WaitFor("m deep")
	leave(t, s)
	assert.Equal(t, 1, count(h.record(t, 1), "slept"))
}
