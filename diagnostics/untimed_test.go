package diagnostics

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// A log of readings without times: two cycles of a healthy pump, two readings a second that nobody knows of.
func TestAFeedWithoutTimesShowsNoRates(t *testing.T) {
	sheet, err := site.Parse("t.yaml", []byte("sheet: tankhand/site/1\ntank: {shape: vertical cylinder, diameter: 1.2 m, height: 2.1 m}\n"+
		"sensor: {face_height: 2.2 m}\nmarks: {full: 0.45 m, empty: 2.0 m, low_set: 1.7 m}\npump: {healthy_flow: 3.66 m3/h}\n"))
	require.NoError(t, err)
	m, g := NewMonitor(sheet, 0), livelevel.NewGauge(sheet)
	u, pump := 1.6, 0.0
	for range 9000 {
		if u += 0.1e-3; pump > 0 {
			u -= 0.9e-3
		}
		if u > 1.7 {
			pump = 1
		} else if u < 0.45 {
			pump = 0
		}
		r := livelevel.Reading{Kind: livelevel.Report}
		r.Set(livelevel.Ullage, u)
		r.Set(livelevel.Pump, pump)
		l := g.Add(r)
		m.Add(&l)
	}
	for _, f := range m.Findings(time.Time{}) {
		assert.NotEqual(t, Fail, f.Verdict, "%s: %s", f.Check, f.Why)
		switch f.Check {
		case "fill-rate", "draw-rate", "drift":
			assert.Equal(t, CannotTell, f.Verdict, f.Check)
			assert.Contains(t, f.Missing, "times")
			for _, x := range f.Figures {
				assert.True(t, math.IsNaN(x.Value), x.Name)
			}
		}
	}
}

// A log without times of a board that only starts, and one that nobody can read: the lines count.
func TestALogWithoutTimesThatHoldsNoReport(t *testing.T) {
	for word, kind := range map[string]livelevel.Kind{"boot-only": livelevel.Restart, "unreadable": livelevel.Rejected} {
		m, g := NewMonitor(nil, 0), livelevel.NewGauge(nil)
		for range 200 {
			l := g.Add(livelevel.Reading{Kind: kind, Text: "boot"})
			m.Add(&l)
		}
		f := m.Findings(time.Time{})[0]
		require.Equal(t, "feed-health", f.Check)
		require.Len(t, f.Grades, 1, word)
		assert.Equal(t, word, f.Grades[0].Word)
		assert.GreaterOrEqual(t, f.Grades[0].Held, time.Minute, word)
	}
}
