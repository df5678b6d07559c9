package visit

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/livelevel/site"
)

// A laptop's clock is set by the network an hour back or a day ahead, in the middle of a visit: the
// order of the record is that of the events' numbers, and nothing is lost or told in negative minutes.
func TestAWallClockThatJumps(t *testing.T) {
	store := memory(t)
	base, err := knowledge.Load("")
	require.NoError(t, err)
	sheet, err := site.Parse("site.yaml", []byte(sessionSheet))
	require.NoError(t, err)
	open := port.Limited(port.Simulated("talker", &talker{line: deaf}, port.AtOnce, 0), 5*time.Minute)
	now, n := time.Date(2026, 5, 4, 7, 30, 0, 0, time.UTC), 0
	jump := []time.Duration{time.Second, -time.Hour, time.Second, 24 * time.Hour, -26 * time.Hour}
	s, err := Begin(t.Context(), Config{Store: store, Sheet: sheet, SheetText: sessionSheet, Base: base, Window: 10 * time.Minute,
		Feed: feed.Start(t.Context(), open, feed.Options{Sheet: sheet, Lossless: true}), Info: open.Info(),
		Clock: func() time.Time { now, n = now.Add(jump[n%len(jump)]), n+1; return now }})
	require.NoError(t, err)
	x := (&sat{Session: s, t: t}).toEnd()
	require.NoError(t, x.do(SetComplaint{ID: "no-echo"}))
	for i := range 5 {
		require.NoError(t, x.do(AddNote{Text: fmt.Sprint("note ", i)}))
	}
	require.NoError(t, s.Close())
	events, err := store.Events(t.Context(), x.snap.Visit.ID)
	require.NoError(t, err)
	for i, e := range events {
		assert.EqualValues(t, i+1, e.Seq)
	}
	v, err := Fold(events)
	require.NoError(t, err)
	require.Len(t, v.Notes, 5)
	for i, note := range v.Notes {
		assert.Equal(t, fmt.Sprint("note ", i), note.Text)
	}
	assert.GreaterOrEqual(t, x.snap.Walk.Minutes, 0.0)
}
