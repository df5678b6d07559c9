package diagnostics

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

func TestHours(t *testing.T) {
	at := func(text string) time.Time {
		v, err := time.Parse("15:04:05", text)
		require.NoError(t, err)
		return v
	}
	for _, tt := range []struct {
		hours   string
		in, out []string
	}{
		{"22:00-06:00", []string{"22:00:00", "23:59:59", "00:00:00", "05:59:59"}, []string{"06:00:00", "12:00:00", "21:59:59"}},
		{"6:00-22:00", []string{"06:00:00", "21:59:59"}, []string{"22:00:00", "05:59:59"}},
		{"18:00-24:00", []string{"18:00:00", "23:59:59"}, []string{"00:00:00"}},
	} {
		h, err := ParseHours(tt.hours)
		require.NoError(t, err)
		for _, x := range tt.in {
			assert.True(t, h.Holds(at(x)), "%s in %s", x, h)
		}
		for _, x := range tt.out {
			assert.False(t, h.Holds(at(x)), "%s in %s", x, h)
		}
	}
	for _, bad := range []string{"", "22", "22:00", "22:00-22:00", "25:00-06:00", "22:00-6", "-", "22:00-06:00-07:00"} {
		_, err := ParseHours(bad)
		assert.ErrorContains(t, err, "22:00-06:00", bad)
	}
}

// Echoes are lost at night only. Over the whole day it is a few, over the nights nearly all; and the hours
// between the nights are no silence.
func TestOnlyTheHoursThatWereAskedFor(t *testing.T) {
	for _, tt := range []struct {
		hours string
		want  string
		share float64
	}{{"22:00-06:00", "nearly-all", 1}, {"06:00-22:00", "few", 0}} {
		h, err := ParseHours(tt.hours)
		require.NoError(t, err)
		sheet := &site.Sheet{}
		m, g := NewMonitor(sheet, 0), livelevel.NewGauge(sheet)
		m.Only(h)
		start := time.Date(2026, 5, 4, 12, 0, 0, 0, time.UTC)
		for i := range 3 * 24 * 360 {
			r := livelevel.Reading{Time: start.Add(time.Duration(i) * 10 * time.Second), Kind: livelevel.Report}
			if hour := r.Time.Hour(); hour >= 22 || hour < 6 {
				r.EchoLost = true
			} else {
				r.Set(livelevel.Ullage, 1+0.001*float64(i%3))
			}
			l := g.Add(r)
			m.Add(&l)
		}
		for _, f := range m.Findings(time.Time{}) {
			switch f.Check {
			case "echo-dropouts":
				require.NotEmpty(t, f.Grades)
				assert.Equal(t, tt.want, f.Grades[0].Word, tt.hours)
				assert.InDelta(t, tt.share, f.Figures[0].Value, 1e-9)
			case "feed-health":
				assert.Equal(t, Pass, f.Verdict, f.Why)
			}
		}
	}
}
