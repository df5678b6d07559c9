package visit

import (
	"fmt"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/livelevel/site"
)

// handled is a board that reads the water well but while its sensor is handled: then it jumps about.
type handled struct{ now atomic.Bool }

func (h *handled) line(n int) string {
	d := 100 + float64(n%3)*0.1
	if h.now.Load() {
		d += 40 * float64(n%2)
	}
	return fmt.Sprintf("Distance: %.1f cm  Pump: OFF  Uptime: %d s", d, n)
}

// runLive is a session on a board that goes on sending, fast.
func runLive(t *testing.T, line func(int) string, rate float64) *sat {
	base, err := knowledge.Load("")
	require.NoError(t, err)
	sheet, err := site.Parse("site.yaml", []byte(sessionSheet))
	require.NoError(t, err)
	open := port.Simulated("talker", &talker{line: line}, rate, 0)
	f := feed.Start(t.Context(), open, feed.Options{Sheet: sheet, Lossless: true})
	s, err := Begin(t.Context(), Config{Store: memory(t), Sheet: sheet, SheetText: sessionSheet, Base: base, Feed: f, Info: open.Info(), Window: 10 * time.Minute})
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	return &sat{Session: s, t: t}
}

// until reads snapshots until one fits.
func (s *sat) until(fits func(*Snapshot) bool) {
	s.t.Helper()
	for snap := range s.Snapshots() {
		if s.snap = snap; fits(&snap) {
			return
		}
	}
	s.t.Fatal("the session ended first")
}

func beliefs(w *WalkView) map[string]float64 {
	out := map[string]float64{}
	for _, x := range w.Suspects {
		out[x.Cause] = x.Probability
	}
	return out
}

// TestWipingAFaceMakesNoCauseLikelier: the board jumps about because its face is being wiped. Neither while the trial
// runs nor after it does the feed's jumping count; the windows start anew.
func TestWipingAFaceMakesNoCauseLikelier(t *testing.T) {
	board := &handled{}
	s := runLive(t, board.line, 400)
	hear := func(d time.Duration) {
		from := s.snap.Listened
		s.until(func(snap *Snapshot) bool { return snap.Listened >= from+d })
	}
	hear(150 * time.Second)
	require.NoError(t, s.do(SetComplaint{ID: "erratic-reading"}))
	require.NoError(t, s.do(AskProbe{Probe: "face-wipe"}))
	require.NoError(t, s.do(Acknowledge{}))
	require.NoError(t, s.do(BeginTrial{}))
	before := beliefs(s.snap.Walk)
	board.now.Store(true)
	hear(3 * time.Minute)
	assert.Equal(t, before, beliefs(s.snap.Walk), "while the trial runs")
	board.now.Store(false)
	hear(time.Minute) // what was sent before has come by now
	require.NoError(t, s.do(EndTrial{}))
	hear(4 * time.Minute)
	for cause, p := range beliefs(s.snap.Walk) {
		if cause != faulttree.Unlisted {
			assert.LessOrEqual(t, p, before[cause]+0.02, cause)
		}
	}
	assert.Equal(t, "quiet", shapeOf(&s.snap), "the windows began anew after the trial")
}

func shapeOf(snap *Snapshot) string {
	for _, f := range snap.Findings {
		if f.Check == "reading-shape" {
			return f.Grade("shape")
		}
	}
	return ""
}
