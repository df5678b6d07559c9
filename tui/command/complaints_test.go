//go:build unix

package command

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/screentest"
)

// atTheBench starts the program on a board's port, on a terminal of its own.
func atTheBench(t *testing.T, b *board, data string, w, h int) *screentest.Screen {
	t.Helper()
	return screentest.StartFunc(t, w, h, func(tty *os.File) error {
		p := &Program{In: tty, Out: tty, Err: tty, Version: "test"}
		if status := p.Run([]string{"bench", "--port", b.dev, "--clock-rate", fmt.Sprint(boardPace), "--site", b.sheet, "--data", data}); status != 0 {
			return fmt.Errorf("exit status %d", status)
		}
		return nil
	})
}

// complain chooses a complaint of the list by its digit, wherever it stands; those that the checks see move up
// meanwhile, so the digit is read anew until the walk has begun.
func (w *technician) complain(title string) {
	line := regexp.MustCompile(`(?m)^.\s*(\d) . ` + regexp.QuoteMeta(title))
	for range 20 {
		if m := line.FindStringSubmatch(w.screen.Screen()); m != nil {
			w.screen.Type(m[1])
			within(2*time.Second, func() bool { return strings.Contains(w.screen.Screen(), "min so far") })
		}
		if strings.Contains(w.screen.Screen(), "min so far") {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	require.Fail(w.t, "the walk does not begin", w.screen.Screen())
}

// handOver closes the visit with the outcome that is proposed, as soon as the proof has run long enough.
func (w *technician) handOver() {
	on := func(text string) func() bool {
		return func() bool { return strings.Contains(w.screen.Screen(), text) }
	}
	for range 40 {
		switch {
		case on("The visit is closed")():
			w.screen.WaitFor("Report:")
			return
		case on("how does the visit end?")():
			w.screen.Type("<enter>")
			within(2*time.Second, func() bool { return !on("how does the visit end?")() })
			within(500*time.Millisecond, on("The visit is closed"))
		default:
			w.screen.Type("h")
			within(2*time.Second, on("how does the visit end?"))
		}
	}
	require.Fail(w.t, "the visit does not close", w.screen.Screen())
}

// TestEveryComplaintFromTheBoardToTheReport works the screen by keys, from the feed of a faulty board to the
// report on disk, for each of the eight complaints. The board answers what is measured and looked at.
func TestEveryComplaintFromTheBoardToTheReport(t *testing.T) {
	if testing.Short() {
		t.Skip("eight visits of some ten seconds each")
	}
	base, err := loadKnowledge()
	require.NoError(t, err)
	for _, tc := range []struct {
		complaint, fault string
		heard            bool // the checks see it in the feed before the customer says it
	}{
		{"no-echo", "trigger-open@100s", true},
		{"erratic-reading", "inlet-stream@10s:0.9", true},
		{"relay-chatter", "hyst-small@60s", true},
		{"pump-runs-dry", "source-empty@20s", false},
		{"wrong-reading", "clock-scale", false},
		{"pump-wont-start", "contact-burnt", true},
		{"pump-wont-stop", "contact-welded@60s", false},
		{"controller-silent", "memory-runs-out", true},
	} {
		var title string
		for _, c := range base.Complaints {
			if c.ID == tc.complaint {
				title = c.Title
			}
		}
		t.Run(tc.complaint, func(t *testing.T) {
			data := t.TempDir()
			b := newBoard(t, tc.fault)
			screen := atTheBench(t, b, data, 80, 24)
			screen.WaitFor("What does the customer say?")
			if tc.heard {
				screen.WaitFor("! " + title)
			}
			store, err := visit.Open(filepath.Join(data, "visits.db"))
			require.NoError(t, err)
			defer store.Close()
			w := &technician{t: t, screen: screen, board: b, store: store, base: base}
			w.complain(title)
			w.work()
			w.handOver()
			screen.Type("q")
			screen.WaitFor("Leave?")
			screen.Type("<enter>")
			require.NoError(t, screen.Wait())

			report, err := os.ReadFile(filepath.Join(data, "reports", "visit-1-ht-2.html"))
			require.NoError(t, err)
			for _, want := range []string{"Quarry Lane", "Fault path", "As found and as left", "Result"} {
				assert.True(t, strings.Contains(string(report), want), "the report says %s", want)
			}
			customer, err := os.ReadFile(filepath.Join(data, "reports", "visit-1-ht-2-customer.html"))
			require.NoError(t, err)
			assert.False(t, strings.Contains(string(customer), "As found and as left"), "page one only")
			fault, _, _ := strings.Cut(tc.fault, "@")
			assert.Equal(t, fault, w.cause, "the fault was mended")
		})
	}
}
