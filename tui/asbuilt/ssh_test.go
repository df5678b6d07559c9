//go:build unix

package asbuilt

import (
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/tui/screentest"
)

// terminals are what a technician's link may call itself.
var terminals = []struct {
	term    string
	colours bool
}{
	{"xterm-256color", true},
	{"screen", true},
	{"vt100", false},
	{"dumb", false},
}

// practised is the bench on a practice rig whose trigger wire is broken, forty times as fast as the clock.
var practised = []string{"bench", "--rig", "trigger-open", "--clock-rate", "40"}

// colour is an attribute of ECMA-48 that sets one.
var colour = regexp.MustCompile(`\x1b\[[0-9;]*3[0-9][0-9;]*m`)

// beginVisit takes the first complaint and answers its first question.
func beginVisit(s *screentest.Screen) {
	s.WaitFor("What does the customer say?")
	s.WaitFor("! No echo")
	s.Type("1")
	s.WaitFor("when is it bad?")
	s.WaitFor("1 always")
	s.Type("1")
	s.WaitGone("1 always")
}

// writeNote types a note and waits until it is stored.
func writeNote(s *screentest.Screen, text string) {
	s.Type("n")
	s.WaitFor("Note: [")
	s.Type(text)
	s.WaitFor(text)
	s.Type("<enter>")
	s.WaitFor("note stored")
}

func leave(t *testing.T, s *screentest.Screen) {
	s.Type("q")
	s.WaitFor("Leave?")
	s.Type("<enter>")
	require.NoError(t, s.Wait())
}

// TestTheBenchOverSSH works the bench through a real server on each kind of terminal.
func TestTheBenchOverSSH(t *testing.T) {
	short(t)
	for _, tt := range terminals {
		t.Run(tt.term, func(t *testing.T) {
			srv := startServer(t)
			s := screentest.StartCommand(t, 80, 24, srv.ssh(tt.term, append([]string{program}, practised...)...))
			beginVisit(s)
			writeNote(s, "the board was wired by someone else")
			s.Resize(120, 36) // the size must cross the link
			s.WaitUntil("the wide screen", func(screen string) bool { return widest(screen) > 100 })
			assert.NotContains(t, s.Screen(), "┌─", "slow link: the tank lies down whatever the width")
			leave(t, s)
			assert.Equal(t, tt.colours, colour.MatchString(s.Raw()), "colours on %s", tt.term)
			assert.Contains(t, s.Raw(), "\x1b[?1049l", "the screen before was not brought back")
			rec := srv.record(t, 1)
			assert.Equal(t, 1, count(rec, "the board was wired by someone else"))
			assert.Equal(t, 1, count(rec, "always"), rec)
		})
	}
}

// widest is the longest row of a screen.
func widest(screen string) int {
	most, n := 0, 0
	for _, r := range screen + "\n" {
		if n++; r == '\n' {
			most, n = max(most, n-1), 0
		}
	}
	return most
}

// TestWithoutATerminalTheBenchSaysWhatToDo: ssh gives a command no terminal unless asked.
func TestWithoutATerminalTheBenchSaysWhatToDo(t *testing.T) {
	short(t)
	srv := startServer(t)
	cmd := srv.ssh("xterm-256color", program, "bench", "--rig", "healthy")
	for i, a := range cmd.Args {
		if a == "-tt" {
			cmd.Args[i] = "-T"
		}
	}
	r := finish(t, cmd)
	assert.Equal(t, 2, r.status)
	assert.Contains(t, r.errs, "ssh -t")
	assert.Contains(t, r.errs, "tankhand walk")
}

// TestACutConnectionLosesNothingTyped kills the client in the middle of a visit, half a note typed,
// and goes on with visit and note over a new connection.
func TestACutConnectionLosesNothingTyped(t *testing.T) {
	short(t)
	srv := startServer(t)
	cmd := srv.ssh("xterm-256color", append([]string{program}, practised...)...)
	s := screentest.StartCommand(t, 80, 24, cmd)
	beginVisit(s)
	writeNote(s, "lid of the pit was open")
	halfANote(s)
	require.NoError(t, cmd.Process.Kill()) // the link is cut; nothing is said to the far end
	within(t, 10*time.Second, "the program at the far end to end in order", func() bool {
		return count(srv.record(t, 1), "feed-ended") == 1
	})
	goOn(t, srv.home, srv.ssh("screen", append([]string{program, "--visit", "1"}, practised...)...))
}

// halfANote leaves a note in the middle of a word, and waits the moment a draft may take to be kept.
func halfANote(s *screentest.Screen) {
	s.Type("n")
	s.WaitFor("Note: [")
	s.Type("the cable is chafed at the cl")
	s.WaitFor("chafed at the cl")
	time.Sleep(200 * time.Millisecond)
}

// goOn takes the first visit up again and finishes the note.
func goOn(t *testing.T, h home, cmd *exec.Cmd) {
	again := screentest.StartCommand(t, 80, 24, cmd)
	again.WaitFor("visit 1")
	again.WaitFor("Hold a flat board") // the step that was being done
	again.Type("n")
	again.WaitFor("the cable is chafed at the cl")
	again.Type("amp")
	again.WaitFor("clamp")
	again.Type("<enter>")
	again.WaitFor("note stored")
	leave(t, again)
	rec := h.record(t, 1)
	assert.Equal(t, 1, count(rec, "lid of the pit was open"), rec)
	assert.Equal(t, 1, count(rec, "the cable is chafed at the clamp"), rec)
	assert.Equal(t, 1, count(rec, "visit-reopened"), rec)
	assert.Equal(t, 1, count(rec, "answer when-bad: always"), rec)
}

// tmux is a multiplexer of the test's own, named by its socket.
func (s server) tmux(socket string, words ...string) []string {
	return append([]string{"tmux", "-S", filepath.Join(s.dir, socket), "-f", "/dev/null"}, words...)
}

// TestTheBenchInTmuxOverSSH: inside tmux a cut link does not even end the program.
func TestTheBenchInTmuxOverSSH(t *testing.T) {
	short(t)
	needs(t, "tmux")
	for _, tt := range terminals {
		t.Run(tt.term, func(t *testing.T) {
			srv := startServer(t)
			socket := "tmux-" + tt.term
			stop := srv.tmux(socket, "kill-server")
			t.Cleanup(func() { _ = exec.Command(stop[0], stop[1:]...).Run() })
			words := srv.tmux(socket, "new-session", "-s", "bench", "env", "TERM="+tt.term, program)
			cmd := srv.ssh("xterm-256color", append(words, practised...)...)
			s := screentest.StartCommand(t, 80, 25, cmd) // a row for tmux
			beginVisit(s)
			writeNote(s, "typed in tmux")
			s.Resize(100, 30)
			s.WaitUntil("the wide screen", func(screen string) bool { return widest(screen) > 90 })
			require.NoError(t, cmd.Process.Kill())

			again := screentest.StartCommand(t, 80, 25, srv.ssh("xterm-256color", srv.tmux(socket, "attach", "-t", "bench")...))
			again.WaitFor("+ feed good")
			leave(t, again)
			assert.Equal(t, 1, count(srv.record(t, 1), "typed in tmux"))
			assert.Zero(t, count(srv.record(t, 1), "visit-reopened"), "the program was ended by the cut")
		})
	}
}
