package visit

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
)

func pumpReport(at time.Time, on float64) *livelevel.Level {
	l := &livelevel.Level{Reading: livelevel.Reading{Time: at, Kind: livelevel.Report}}
	l.Reading.Set(livelevel.Pump, on)
	return l
}

// A board that starts anew has dropped its relay: how long the pump is off counts from there, though no
// reading ever said that it was on.
func TestTheClockOfThePumpStartsAnewWithTheBoard(t *testing.T) {
	f, began := newLiveFeed(), time.Date(2026, 5, 4, 7, 0, 0, 0, time.UTC)
	f.add(pumpReport(began, 0))
	f.add(pumpReport(began.Add(10*time.Minute), 0))
	f.add(&livelevel.Level{Reading: livelevel.Reading{Time: began.Add(11 * time.Minute), Kind: livelevel.Restart}})
	f.add(pumpReport(began.Add(11*time.Minute+2*time.Second), 0))
	f.add(pumpReport(began.Add(12*time.Minute+2*time.Second), 0))
	var s Snapshot
	f.fill(&s)
	assert.Equal(t, time.Minute, s.PumpFor)
	assert.Zero(t, f.starts)

	f.add(pumpReport(began.Add(13*time.Minute), 1))
	f.add(&livelevel.Level{Reading: livelevel.Reading{Time: began.Add(14 * time.Minute), Kind: livelevel.Back}})
	f.add(pumpReport(began.Add(15*time.Minute), 1))
	f.fill(&s)
	assert.Zero(t, s.PumpFor, "nobody listened while the port was away")
	assert.Equal(t, 1, f.starts, "a run that is heard again is no new start")
}

// The teach-in keeps showing lines while none come, and never more than fit.
func TestRawLinesStay(t *testing.T) {
	f := newLiveFeed()
	f.keepRaw([]string{"a", "b"})
	held := f.raw
	f.keepRaw(nil)
	require.Equal(t, []string{"a", "b"}, f.raw)
	f.keepRaw([]string{"c"})
	require.Equal(t, []string{"a", "b", "c"}, f.raw)
	require.Equal(t, []string{"a", "b"}, held, "a snapshot keeps what it was given")
	f.keepRaw(make([]string, 100))
	require.Len(t, f.raw, rawLines)
}
