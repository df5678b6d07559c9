//go:build unix

package asbuilt

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/tui/screentest"
)

// benchOn opens the bench on a board.
func benchOn(t *testing.T, h home, b *board, more ...string) *screentest.Screen {
	words := append([]string{"bench", "--port", b.name, "--site", h.sheet(t), "--slow-link=false"}, more...)
	return screentest.StartCommand(t, 80, 24, h.command(words...))
}

// pullAndPlug unplugs the board in the middle of a line, waits until that is said, and plugs it in.
func pullAndPlug(b *board, s *screentest.Screen) {
	b.pull()
	s.WaitUntil("that the board is gone", func(screen string) bool { return !strings.Contains(screen, "+ feed good") })
	b.plug()
	s.WaitFor("+ feed good")
}

// TestUnpluggedAtAnyTime pulls the plug while the port is being opened, before and in a visit, while a
// note is typed and as it is saved, and while a check watches the feed.
func TestUnpluggedAtAnyTime(t *testing.T) {
	short(t)
	h := newHome(t)
	b := newBoard(t, h.dir)
	b.pull() // before it is opened
	s := benchOn(t, h, b)
	s.WaitFor("no such port")
	b.plug()
	s.WaitFor("+ feed good")
	s.WaitFor("What does the customer say?")
	pullAndPlug(b, s)
	s.Type("1")
	s.WaitFor("min so far")
	pullAndPlug(b, s)

	s.Type("n")
	s.WaitFor("Note: [")
	s.Type("pulled while ")
	pullAndPlug(b, s) // half a note is typed
	s.Type("typing")
	s.WaitFor("pulled while typing")
	go b.pull() // as it is saved
	s.Type("<enter>")
	s.WaitFor("note stored")
	s.WaitUntil("that the board is gone", func(screen string) bool { return !strings.Contains(screen, "+ feed good") })
	b.plug()
	s.WaitFor("+ feed good")
	leave(t, s)

	rec := h.record(t, 1)
	assert.Equal(t, 1, count(rec, "pulled while typing"), rec)
	assert.Equal(t, 1, count(rec, "complaint"), rec)
	kept := h.run(t, "visits", "report", "1", "--samples")
	require.Zero(t, kept.status, kept.errs)
	assert.Greater(t, strings.Count(kept.out, "\n"), 40, "the capture holds what came before, between and after")
}

// TestUnpluggedWhileACheckWatches pulls the plug in each of the first prompted checks that a walk offers.
func TestUnpluggedWhileACheckWatches(t *testing.T) {
	short(t)
	h := newHome(t)
	b := newBoard(t, h.dir)
	b.speak(func(n int) string { return fmt.Sprintf("Distance: out of range  Pump: OFF  Uptime: %d s\r\n", n/20) })
	s := benchOn(t, h, b, "--clock-rate", "10")
	beginVisit(s)
	s.WaitFor("Hold a flat board")
	s.WaitFor("> a I have read this")
	s.Type("a")
	s.WaitFor("Enter begin")
	s.Type("<enter>")
	s.WaitFor("stop watching")
	pullAndPlug(b, s)
	s.WaitFor("stop watching") // it goes on watching
	s.Type("<esc>")
	s.WaitGone("stop watching")
	leave(t, s)
}

// TestABoardThatComesAndGoes is a worn plug: losses at no particular moment, some of them long enough to be gaps.
func TestABoardThatComesAndGoes(t *testing.T) {
	short(t)
	h := newHome(t)
	b := newBoard(t, h.dir)
	cmd := h.command("survey", "--port", b.name, "--site", h.sheet(t), "--for", "9s", "--json")
	done := make(chan result)
	go func() { done <- finish(t, cmd) }()
	for _, away := range []time.Duration{100, 2300, 300, 2300, 50} {
		time.Sleep(500 * time.Millisecond)
		b.pull()
		time.Sleep(away * time.Millisecond)
		b.plug()
	}
	r := <-done
	assert.Contains(t, []int{0, 1, 3}, r.status, r.errs)
	var page struct {
		Feed struct {
			Readings, Gaps int
			Longest        float64 `json:"longest_gap_s"`
		}
	}
	require.NoError(t, json.Unmarshal([]byte(r.out), &page), r.out)
	assert.GreaterOrEqual(t, page.Feed.Gaps, 2)
	assert.Greater(t, page.Feed.Readings, 20)
	assert.Greater(t, page.Feed.Longest, 2.0)
}
