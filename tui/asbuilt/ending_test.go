//go:build unix

package asbuilt

import (
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/tui/screentest"
)

// TestASignalEndsTheBenchInOrder: the visit says that it was left, and the terminal is given back.
func TestASignalEndsTheBenchInOrder(t *testing.T) {
	short(t)
	for _, sig := range []syscall.Signal{syscall.SIGHUP, syscall.SIGTERM, syscall.SIGINT} {
		t.Run(sig.String(), func(t *testing.T) {
			h := newHome(t)
			cmd := h.command(practised...)
			s := screentest.StartCommand(t, 80, 24, cmd)
			beginVisit(s)
			writeNote(s, "before the signal")
			require.NoError(t, cmd.Process.Signal(sig))
			require.NoError(t, s.Wait(), "ended by the signal instead of in order")
			assert.Contains(t, s.Raw(), "\x1b[?1049l", "the screen before was not brought back")
			assert.Contains(t, s.Raw(), "\x1b[?25h", "the cursor stays hidden")
			rec := h.record(t, 1)
			assert.Equal(t, 1, count(rec, "before the signal"), rec)
			assert.Equal(t, 1, count(rec, "feed-ended"), rec)
		})
	}
}

// TestARecordingThatIsEnded stands in a capture that can be read, however it ended. A cut link does not
// end it: it is to run overnight.
func TestARecordingThatIsEnded(t *testing.T) {
	short(t)
	for _, sig := range []syscall.Signal{syscall.SIGHUP, syscall.SIGTERM, syscall.SIGINT, syscall.SIGKILL} {
		t.Run(sig.String(), func(t *testing.T) {
			t.Parallel()
			h := newHome(t)
			b := newBoard(t, h.dir)
			cmd := h.command("record", "--port", b.name, "--for", "5s")
			require.NoError(t, cmd.Start())
			time.Sleep(2500 * time.Millisecond) // a capture is forced to disk each second
			require.NoError(t, cmd.Process.Signal(sig))
			if err := cmd.Wait(); sig != syscall.SIGKILL {
				require.NoError(t, err)
			}
			r := h.run(t, "survey", "--file", h.onlyCapture(t), "--json")
			assert.Contains(t, []int{0, 1, 3}, r.status, r.errs)
			var page struct{ Feed struct{ Readings int } }
			require.NoError(t, json.Unmarshal([]byte(r.out), &page))
			assert.Greater(t, page.Feed.Readings, 20)
			if sig == syscall.SIGHUP {
				assert.Greater(t, page.Feed.Readings, 70, "all five seconds")
			}
		})
	}
}

// TestKilledWhileANoteIsTyped: every note that the screen called stored is there once, and half of one
// is gone on with.
func TestKilledWhileANoteIsTyped(t *testing.T) {
	short(t)
	h := newHome(t)
	cmd := h.command(practised...)
	s := screentest.StartCommand(t, 80, 24, cmd)
	beginVisit(s)
	writeNote(s, "lid of the pit was open")
	halfANote(s)
	require.NoError(t, cmd.Process.Kill())
	require.Error(t, s.Wait())
	goOn(t, h, h.command(append([]string{"bench", "--visit", "1"}, practised[1:]...)...))
}

// TestKilledAtAnyMoment kills the program itself at random moments of a visit: what the screen has said
// is on disk.
func TestKilledAtAnyMoment(t *testing.T) {
	short(t)
	h := newHome(t)
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 3))
	seen := 0
	for run := range 8 {
		cmd := h.command("bench", "--rig", "healthy", "--clock-rate", "10")
		s := screentest.StartCommand(t, 80, 24, cmd)
		s.WaitFor("What does the customer say?")
		s.Type("1")
		s.WaitFor("min so far")
		noted := 0
		kill := time.AfterFunc(time.Duration(random.IntN(700))*time.Millisecond, func() { _ = cmd.Process.Kill() })
		for noted < 50 {
			text := fmt.Sprintf("note %d of run %d.", noted+1, run)
			s.Type("n" + text)
			if !comes(s, func(screen string) bool { return strings.Contains(screen, text) }) {
				break
			}
			s.Type("<enter>")
			if !comes(s, func(screen string) bool {
				return strings.Contains(screen, "note stored") && !strings.Contains(screen, text)
			}) {
				break
			}
			noted++
		}
		kill.Stop()
		_ = cmd.Process.Kill()
		_ = s.Wait()
		rec := h.record(t, run+1)
		assert.Equal(t, 1, count(rec, "complaint"), "run %d: %s", run, rec)
		stored := count(rec, fmt.Sprintf("of run %d.", run))
		assert.GreaterOrEqual(t, stored, noted, "run %d: %s", run, rec)
		assert.LessOrEqual(t, stored, noted+1, "run %d: one may have been on its way", run)
		seen += stored
	}
	t.Logf("8 kills, %d notes on record", seen)
}

// comes waits a little for the screen to be as wanted, and no longer once the program was killed.
func comes(s *screentest.Screen, want func(string) bool) bool {
	for end := time.Now().Add(5 * time.Second); time.Now().Before(end); time.Sleep(2 * time.Millisecond) {
		if want(s.Screen()) {
			return true
		}
		if s.Ended() {
			return false
		}
	}
	return false
}

// TestAStormOfSizes drags the window about for as long as a person would not.
func TestAStormOfSizes(t *testing.T) {
	short(t)
	h := newHome(t)
	s := screentest.StartCommand(t, 80, 24, h.command(practised...))
	beginVisit(s)
	random := rand.New(rand.NewPCG(1, 1))
	for range 400 {
		s.Resize(1+random.IntN(250), 1+random.IntN(70))
		if random.IntN(4) == 0 {
			time.Sleep(time.Duration(random.IntN(30)) * time.Millisecond)
		}
	}
	s.Resize(1, 1)
	s.Resize(120, 36)
	s.WaitFor("when is it bad?: always")
	writeNote(s, "after the storm")
	leave(t, s)
}

// TestTwoProgramsOnOneStore runs two visits at once.
func TestTwoProgramsOnOneStore(t *testing.T) {
	short(t)
	h := newHome(t)
	open := func() (*screentest.Screen, *exec.Cmd) {
		cmd := h.command(practised...)
		return screentest.StartCommand(t, 80, 24, cmd), cmd
	}
	one, _ := open()
	one.WaitFor("visit 1")
	two, _ := open()
	two.WaitFor("visit 2")
	beginVisit(one)
	beginVisit(two)
	for i := range 5 {
		writeNote(one, fmt.Sprintf("%d on the first", i))
		writeNote(two, fmt.Sprintf("%d on the second", i))
	}
	leave(t, one)
	leave(t, two)
	assert.Equal(t, 5, count(h.record(t, 1), "on the first"))
	assert.Equal(t, 5, count(h.record(t, 2), "on the second"))
	assert.Zero(t, count(h.record(t, 1), "on the second"))
}

// TestASurveyThatIsBrokenOff: who presses Ctrl-C in the middle of a long log gets the page of what was read.
func TestASurveyThatIsBrokenOff(t *testing.T) {
	short(t)
	h := newHome(t)
	cmd := h.command("survey", "--file", "-")
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	go func() {
		for n := 0; ; n++ { // until the program closes its end
			if _, err := io.WriteString(in, usual(n)); err != nil {
				return
			}
		}
	}()
	time.AfterFunc(2*time.Second, func() { _ = cmd.Process.Signal(syscall.SIGINT) })
	r := finish(t, cmd)
	assert.Contains(t, r.errs, "stopped before the end; what follows is of the first ")
	assert.Contains(t, r.out, "+ feed-health")
	assert.Contains(t, []int{0, 1, 3}, r.status)
}
