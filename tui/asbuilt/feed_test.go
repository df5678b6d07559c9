//go:build unix

package asbuilt

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/port"
)

// hostileFeed is a good feed between lines that hold every byte, every pair with escape, and the
// control sequences that do most harm on a terminal.
func hostileFeed() []byte {
	var out bytes.Buffer
	random := rand.New(rand.NewPCG(4, 2))
	nasty := []string{"\x1b]0;title\x07", "\x1b]52;c;aGVsbG8=\x07", "\x1b[2J\x1b[H", "\x1bP$q\x1b\\", "\x1b[6n", "\x9b31m", "\u009b31m", "\x1bc", "\u202eesrever"}
	for n := range 1500 {
		out.WriteString(usual(n))
		switch n % 5 {
		case 0:
			out.WriteString(nasty[n/5%len(nasty)] + "\r\n")
		case 1:
			out.WriteByte(byte(n / 5))
			out.WriteString(fmt.Sprintf("Distance: %s81.2 cm\r\n", nasty[n/5%len(nasty)]))
		case 2:
			out.Write([]byte{0x1b, byte(n / 5)})
		case 3:
			for range random.IntN(20) {
				out.WriteByte(byte(random.IntN(256)))
			}
			out.WriteByte('\n')
		}
	}
	for b := range 256 {
		out.WriteByte(byte(b))
	}
	return out.Bytes()
}

// assertHarmless: text for a terminal holds no control character but the end of a line, in either set.
func assertHarmless(t *testing.T, text string) {
	t.Helper()
	for i, r := range text {
		if r < ' ' && r != '\n' && r != '\t' || r >= 0x7f && r < 0xa0 || r == 0x202e {
			require.Fail(t, "a control character came through", "%q in %q", r, text[max(0, i-40):min(len(text), i+40)])
		}
	}
}

// TestAFeedWithEveryByte sends it through each way out.
func TestAFeedWithEveryByte(t *testing.T) {
	short(t)
	h := newHome(t)
	log := filepath.Join(h.dir, "log.txt")
	require.NoError(t, os.WriteFile(log, hostileFeed(), 0o600))
	for _, args := range [][]string{{"survey", "--file", log, "--interval", "100ms"}, {"survey", "--file", log, "--interval", "100ms", "--json"},
		{"dialect", "learn", "--file", log}} {
		r := h.run(t, args...)
		assertHarmless(t, r.out)
		assertHarmless(t, r.errs)
	}
	recordAll(t, h, hostileFeed())
	kept := h.onlyCapture(t)
	assert.Equal(t, hostileFeed(), bytesOf(t, kept), "every byte is in the capture")
	r := h.run(t, "survey", "--file", kept, "--json")
	var page struct{ Feed struct{ Readings int } }
	require.NoError(t, json.Unmarshal([]byte(r.out), &page))
	assert.Greater(t, page.Feed.Readings, 1200, "the good lines between are read")
}

// recordAll sends bytes through a port into a recording.
func recordAll(t *testing.T, h home, all []byte) {
	pair, err := port.Terminal()
	require.NoError(t, err)
	defer pair.Close()
	cmd := h.command("record", "--port", pair.Name())
	require.NoError(t, cmd.Start())
	time.Sleep(500 * time.Millisecond) // it is open
	for len(all) > 0 {
		n := min(len(all), 256)
		_, err := pair.Write(all[:n])
		require.NoError(t, err)
		all = all[n:]
		time.Sleep(2 * time.Millisecond)
	}
	time.Sleep(500 * time.Millisecond)
	require.NoError(t, cmd.Process.Signal(syscall.SIGTERM))
	require.NoError(t, cmd.Wait())
}

// bytesOf are the bytes in a raw capture, as its documentation has it: code points up to U+00FF.
func bytesOf(t *testing.T, path string) (out []byte) {
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		var rec struct{ Data string }
		require.NoError(t, json.Unmarshal([]byte(line), &rec))
		for _, r := range rec.Data {
			require.Less(t, r, rune(256))
			out = append(out, byte(r))
		}
	}
	return out
}

// TestAFeedWithEveryByteOnTheScreen: the screen itself moves the cursor, but sets no title, touches no
// clipboard, asks no question and resets nothing; least of all where raw lines are shown.
func TestAFeedWithEveryByteOnTheScreen(t *testing.T) {
	short(t)
	h := newHome(t)
	b := newBoard(t, h.dir)
	lines := bytes.SplitAfter(hostileFeed(), []byte("\n"))
	b.speak(func(n int) string { return string(lines[n%len(lines)]) })
	s := benchOn(t, h, b)
	s.WaitFor("What does the customer say?")
	s.Type("l")
	s.WaitFor("column")
	time.Sleep(4 * time.Second)
	s.Type("<esc>")
	s.WaitFor("What does the customer say?")
	leave(t, s)
	for _, harm := range []string{"\x1b]", "\x1bP", "\x1bc", "\x1b[6n", "\u202e", "\u009b", "title\x07"} {
		assert.NotContains(t, s.Raw(), harm)
	}
}

// TestAGzipBomb: many megabytes of nothing in a few kilobytes is read in bounded memory.
func TestAGzipBomb(t *testing.T) {
	short(t)
	h := newHome(t)
	for name, piece := range map[string][]byte{"zeros": make([]byte, 1<<20), "endless line": bytes.Repeat([]byte("x"), 1<<20)} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(h.dir, name+".gz")
			f, err := os.Create(path)
			require.NoError(t, err)
			z, err := gzip.NewWriterLevel(f, gzip.BestSpeed)
			require.NoError(t, err)
			for range 60 {
				_, err := z.Write(piece)
				require.NoError(t, err)
			}
			require.NoError(t, z.Close())
			require.NoError(t, f.Close())
			cmd := h.command("survey", "--file", path)
			var most float64
			done := make(chan result, 1)
			go func() { defer close(done); done <- finish(t, cmd) }()
			for {
				select {
				case r := <-done:
					assert.NotEqual(t, 0, r.status)
					t.Logf("%.0f MB resident at the most", most)
					assert.Less(t, most, 200.0)
					return
				case <-time.After(50 * time.Millisecond):
					if cmd.Process != nil {
						if now, ok := resident(cmd.Process.Pid); ok {
							most = max(most, now)
						}
					}
				}
			}
		})
	}
}

// TestThreeDaysOfFeed takes the program through 72 hours of a healthy installation; memory must not grow
// with the length of the feed.
func TestThreeDaysOfFeed(t *testing.T) {
	short(t)
	h := newHome(t)
	cmd := h.command("survey", "--rig", "healthy", "--for", "72h", "--clock-rate", "max")
	done := make(chan result, 1)
	go func() { defer close(done); done <- finish(t, cmd) }()
	var seen []float64
	var threads []int
	for {
		select {
		case r := <-done:
			require.Contains(t, []int{0, 3}, r.status, r.errs)
			assert.Contains(t, r.out, "2592000 readings of 2592000 lines")
			require.Greater(t, len(seen), 10)
			early, late := most(seen[:len(seen)/3]), most(seen[len(seen)/3:])
			t.Logf("resident: %.0f MB in the first day, %.0f MB afterwards; %d threads at the most", early, late, threads[len(threads)-1])
			assert.Less(t, late, 1.4*early+10)
			return
		case <-time.After(100 * time.Millisecond):
			if cmd.Process == nil {
				continue
			}
			if now, ok := resident(cmd.Process.Pid); ok {
				seen, threads = append(seen, now), append(threads, tasks(cmd.Process.Pid))
			}
		}
	}
}

func most(x []float64) float64 {
	m := 0.0
	for _, v := range x {
		m = max(m, v)
	}
	return m
}

// tasks is how many threads a program has.
func tasks(pid int) int {
	found, _ := os.ReadDir(fmt.Sprintf("/proc/%d/task", pid))
	return len(found)
}

// TestALogWhoseClockJumps: the controller's clock is set back an hour, then a day ahead.
func TestALogWhoseClockJumps(t *testing.T) {
	short(t)
	h := newHome(t)
	log := filepath.Join(h.dir, "log.txt")
	var text strings.Builder
	at := time.Date(2026, 5, 4, 7, 30, 0, 0, time.UTC)
	for n := range 900 {
		switch n {
		case 300:
			at = at.Add(-time.Hour)
		case 600:
			at = at.Add(24 * time.Hour)
		}
		at = at.Add(time.Second)
		text.WriteString(at.Format("2006-01-02 15:04:05") + " " + usual(n))
	}
	require.NoError(t, os.WriteFile(log, []byte(text.String()), 0o600))
	r := h.run(t, "survey", "--file", log, "--site", h.sheet(t), "--json")
	var page struct {
		Feed     struct{ Readings int }
		Findings []struct{ Check, Verdict string }
	}
	require.NoError(t, json.Unmarshal([]byte(r.out), &page), r.errs)
	assert.Equal(t, 900, page.Feed.Readings)
	for _, f := range page.Findings {
		if f.Check == "reading-shape" || f.Check == "reading-spread" || f.Check == "drift" {
			assert.NotEqual(t, "fail", f.Verdict, "a clock that jumps is no fault of %s", f.Check)
		}
	}
}
