package visit

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/livelevel/site"
)

// talker is a board that sends a line each second: the n-th is line(n).
type talker struct {
	at   time.Duration
	line func(n int) string
}

func (t *talker) Connect() error { return nil }

func (t *talker) Advance(d time.Duration) []byte {
	var out strings.Builder
	for next := t.at.Truncate(time.Second) + time.Second; next <= t.at+d; next += time.Second {
		out.WriteString(t.line(int(next/time.Second)) + "\r\n")
	}
	t.at += d
	return []byte(out.String())
}

// deaf is a board that hears no echo.
func deaf(n int) string {
	return fmt.Sprintf("Distance: out of range  Pump: OFF  Uptime: %d s", n)
}

// mended is a board that hears no echo for five minutes, then the water at 1 m.
func mended(n int) string {
	if n < 300 {
		return deaf(n)
	}
	return fmt.Sprintf("Distance: %.1f cm  Pump: OFF  Uptime: %d s", 100+float64(n%3)*0.1, n)
}

const sessionSheet = `sheet: tankhand/site/1
site: Quarry Lane glasshouse
asset: HT-2
tank: {shape: vertical cylinder, diameter: 1.10 m, height: 1.60 m}
sensor: {kind: sealed single, face_height: 1.75 m, supply_voltage: 5 V}
controller: {mains_in_box: no}
`

type sat struct {
	*Session
	t    *testing.T
	snap Snapshot
}

func sit(t *testing.T, store Store, line func(int) string, resume string, limit time.Duration) *sat {
	t.Helper()
	base, err := knowledge.Load("")
	require.NoError(t, err)
	sheet, err := site.Parse("site.yaml", []byte(sessionSheet))
	require.NoError(t, err)
	open := port.Limited(port.Simulated("talker", &talker{line: line}, port.AtOnce, 0), limit)
	f := feed.Start(t.Context(), open, feed.Options{Sheet: sheet, Lossless: true})
	clock := time.Date(2026, 5, 4, 7, 30, 0, 0, time.UTC)
	s, err := Begin(t.Context(), Config{Store: store, Visit: resume, Sheet: sheet, SheetText: sessionSheet, Base: base, Feed: f,
		Info: open.Info(), Window: 10 * time.Minute, Clock: func() time.Time { clock = clock.Add(time.Second); return clock }})
	require.NoError(t, err)
	x := &sat{Session: s, t: t}
	t.Cleanup(func() { _ = s.Close() })
	return x
}

// toEnd waits until the feed has ended.
func (s *sat) toEnd() *sat {
	for snap := range s.Snapshots() {
		s.snap = snap
		if snap.Ended {
			return s
		}
	}
	return s
}

func (s *sat) do(c Command) error {
	err := s.Do(s.t.Context(), c)
	if err == nil {
		s.snap = <-s.Snapshots()
	}
	return err
}

func memory(t *testing.T) Store {
	store, err := OpenMemory()
	require.NoError(t, err)
	t.Cleanup(func() { _ = store.Close() })
	return store
}

// through answers whatever is offered until stop says so, with each probe's first answer.
func (s *sat) through(stop func(*WalkView) bool) {
	for range 60 {
		w := s.snap.Walk
		if stop(w) {
			return
		}
		if len(w.Offer.Cautions) > 0 {
			require.NoError(s.t, s.do(Acknowledge{}))
		}
		switch {
		case w.Offer.Probe != nil && w.Offer.Probe.Kind != "watch":
			require.NoError(s.t, s.do(AnswerProbe{Probe: w.Offer.Probe.ID, Answer: w.Offer.Probe.Answers[0]}))
		default:
			require.NoError(s.t, s.do(SkipStep{How: faulttree.CannotTell}))
		}
	}
	require.Fail(s.t, "the walk never came there")
}

func TestSessionWalksFromTheFeedsEvidence(t *testing.T) {
	store := memory(t)
	s := sit(t, store, deaf, "", 5*time.Minute).toEnd()
	require.NoError(t, s.do(SetComplaint{ID: "no-echo", Words: "it says nothing"}))
	w := s.snap.Walk
	require.Equal(t, "no-echo", w.Complaint)
	require.NotEmpty(t, w.Path, "every ping is lost: the feed tells that much by itself")
	require.Equal(t, faulttree.Evidence, w.Path[0].Step.Act)
	require.NotNil(t, w.Offer.Probe, "the next step is asked of the technician")

	events, err := store.Events(t.Context(), s.snap.Visit.ID)
	require.NoError(t, err)
	var kinds []Kind
	for i, e := range events {
		require.EqualValues(t, i+1, e.Seq)
		kinds = append(kinds, e.Kind)
	}
	for _, k := range []Kind{VisitBegun, FeedOpened, DialectUsed, ComplaintSet, StepTaken, StepShown} {
		require.Contains(t, kinds, k)
	}
}

func TestCautionsComeFirst(t *testing.T) {
	s := sit(t, memory(t), deaf, "", 5*time.Minute).toEnd()
	require.NoError(t, s.do(SetComplaint{ID: "no-echo"}))
	s.through(func(w *WalkView) bool { return w.Offer.Probe != nil && len(w.Offer.Cautions) > 0 })
	p := s.snap.Walk.Offer.Probe
	err := s.Do(t.Context(), AnswerProbe{Probe: p.ID, Answer: p.Answers[0]})
	require.ErrorContains(t, err, "cautions")
	require.NoError(t, s.do(Acknowledge{}))
	require.NoError(t, s.do(AnswerProbe{Probe: p.ID, Answer: p.Answers[0]}))
}

func TestUndoIsOnTheRecordAndIsTheIdentity(t *testing.T) {
	store := memory(t)
	s := sit(t, store, deaf, "", 5*time.Minute).toEnd()
	require.NoError(t, s.do(SetComplaint{ID: "no-echo"}))
	before := s.snap.Walk
	s.through(func(w *WalkView) bool { return len(w.Path) > len(before.Path) })
	require.NoError(t, s.do(UndoLast{}))
	require.Equal(t, before.Suspects, s.snap.Walk.Suspects)
	require.Equal(t, before.Offer.Title, s.snap.Walk.Offer.Title)
	events, err := store.Events(t.Context(), s.snap.Visit.ID)
	require.NoError(t, err)
	require.Equal(t, StepUndone, events[len(events)-2].Kind, "the slip stays readable")
	require.ErrorContains(t, s.Do(t.Context(), UndoLast{}), "nothing to take back")
}

func TestAVisitIsTakenUpWhereItStood(t *testing.T) {
	store := memory(t)
	s := sit(t, store, deaf, "", 5*time.Minute).toEnd()
	require.NoError(t, s.do(SetComplaint{ID: "no-echo", Words: "it says nothing"}))
	s.through(func(w *WalkView) bool { return len(w.Path) >= 5 })
	left := s.snap.Walk
	require.NoError(t, s.Close())

	again := sit(t, store, deaf, s.snap.Visit.ID, time.Second).toEnd()
	require.Equal(t, left.Suspects, again.snap.Walk.Suspects)
	require.Equal(t, len(left.Path), len(again.snap.Walk.Path))
	require.Equal(t, left.Offer.Title, again.snap.Walk.Offer.Title, "the step that was being done")
}

// broken is a store whose disk is gone.
type broken struct {
	Store
	gone bool
}

func (b *broken) Append(ctx context.Context, e ...Event) error {
	if b.gone {
		return errors.New("no space left on device")
	}
	return b.Store.Append(ctx, e...)
}

func TestNothingIsShownThatIsNotOnDisk(t *testing.T) {
	store := &broken{Store: memory(t)}
	s := sit(t, store, deaf, "", 5*time.Minute).toEnd()
	require.NoError(t, s.do(SetComplaint{ID: "no-echo"}))
	before := s.snap.Walk
	store.gone = true
	p := before.Offer.Probe
	if len(before.Offer.Cautions) > 0 {
		require.Error(t, s.Do(t.Context(), Acknowledge{}))
	} else {
		require.ErrorContains(t, s.Do(t.Context(), AnswerProbe{Probe: p.ID, Answer: p.Answers[0]}), "no space left")
	}
	require.ErrorContains(t, s.Do(t.Context(), AddNote{Text: "disk"}), "no space left")
	store.gone = false
	require.NoError(t, s.do(AddNote{Text: "back"}))
	require.Equal(t, before.Suspects, s.snap.Walk.Suspects, "the answer that could not be kept does not count")
	require.Equal(t, []string{"back"}, s.snap.Notes)
}

func TestCommandsThatMakeNoSense(t *testing.T) {
	s := sit(t, memory(t), mended, "", 2*time.Minute).toEnd()
	require.ErrorIs(t, s.Do(t.Context(), UndoLast{}), errNoWalk)
	require.Error(t, s.Do(t.Context(), SetComplaint{ID: "rust"}))
	require.NoError(t, s.do(SetComplaint{ID: "no-echo"}))
	require.ErrorContains(t, s.Do(t.Context(), AnswerProbe{Probe: "moon-phase", Answer: "full"}), "not the offered step")
	p := s.snap.Walk.Offer.Probe
	require.NotNil(t, p)
	if len(s.snap.Walk.Offer.Cautions) > 0 {
		require.NoError(t, s.do(Acknowledge{}))
	}
	require.ErrorContains(t, s.Do(t.Context(), AnswerProbe{Probe: p.ID, Answer: "purple"}), "the answers are")
	require.NoError(t, s.Close())
	require.ErrorIs(t, s.Do(t.Context(), UndoLast{}), errEnded)
}

// TestADeafBoardHearsAgain: the unit of a distance that was never heard cannot be known; with the first
// echo it is worked out, and the level is right from there on.
func TestADeafBoardHearsAgain(t *testing.T) {
	s := sit(t, memory(t), mended, "", 6*time.Minute).toEnd()
	require.InDelta(t, 0.75, s.snap.Level.Height, 0.01, "1.00 m below a face at 1.75 m")
	require.True(t, s.snap.Settled)
	require.Zero(t, s.snap.Feed.Rejected)
}

// TestFoundIsWhatWasThereBefore: a remedy done in haste still has its as-found record before it, and none
// is made after it.
func TestFoundIsWhatWasThereBefore(t *testing.T) {
	store := memory(t)
	s := sit(t, store, deaf, "", 5*time.Minute).toEnd()
	require.NoError(t, s.do(SetComplaint{ID: "no-echo"}))
	require.NoError(t, s.do(TryRemedy{Cause: "trigger-open"})) // offered, with its cautions
	require.NoError(t, s.do(Acknowledge{}))
	require.NoError(t, s.do(TryRemedy{}))
	require.ErrorContains(t, s.Do(t.Context(), CloseVisit{Outcome: MendedProven}), "no proof")
	events, err := store.Events(t.Context(), s.snap.Visit.ID)
	require.NoError(t, err)
	found, remedied := 0, 0
	for _, e := range events {
		body, err := Decode(e)
		require.NoError(t, err)
		switch b := body.(type) {
		case FindingsBody:
			require.Equal(t, AsFound, b.When)
			require.Zero(t, remedied, "as found after the remedy")
			found++
		case StepBody:
			if b.Act == faulttree.Remedied {
				remedied++
			}
		}
	}
	require.Equal(t, 1, found)
	require.Equal(t, 1, remedied)
}

// TestTheRecordSaysOnceWhyTheFeedEnded: of itself, or because we left; whichever notices first.
func TestTheRecordSaysOnceWhyTheFeedEnded(t *testing.T) {
	for name, tc := range map[string]struct {
		limit time.Duration
		end   func(s *sat)
		why   string
	}{
		"a log":          {5 * time.Minute, func(s *sat) { s.toEnd() }, "the feed came to its end"},
		"the feed first": {time.Hour, func(s *sat) { _ = s.feed.Close(); s.toEnd() }, "closed by the technician"},
		"the visit":      {time.Hour, func(*sat) {}, "closed by the technician"},
	} {
		t.Run(name, func(t *testing.T) {
			store := memory(t)
			s := sit(t, store, deaf, "", tc.limit)
			tc.end(s)
			require.NoError(t, s.Close())
			events, err := store.Events(t.Context(), s.Visit())
			require.NoError(t, err)
			var why []string
			for _, e := range events {
				if e.Kind == FeedEnded {
					why = append(why, string(e.Body))
				}
			}
			require.Len(t, why, 1)
			require.Contains(t, why[0], tc.why)
		})
	}
}
