package command

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// night is two days of a board that sends a line a minute from noon of a day in a time zone on, and hears no
// echo between ten at night and six in the morning there.
func night(t *testing.T, zone *time.Location, line func(at time.Time, ullage string) string) string {
	t.Helper()
	start := time.Date(2026, 5, 4, 12, 0, 0, 0, zone)
	var b strings.Builder
	for i := range 2 * 1440 {
		at := start.Add(time.Duration(i) * time.Minute)
		ullage := fmt.Sprintf("%.1f", 100+0.1*float64(i%4))
		if h := at.Hour(); h >= 22 || h < 6 {
			ullage = "0.0"
		}
		b.WriteString(line(at, ullage))
	}
	path := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(path, []byte(b.String()), 0o600))
	return path
}

type nightly struct {
	Feed     struct{ Between string }
	Findings []struct {
		Check   string
		Verdict string
		Figures map[string]*float64
		Mostly  *struct {
			From, To   string
			Events, Of int
		}
	}
}

func surveyed(t *testing.T, args ...string) (doc nightly) {
	t.Helper()
	out, errs, status := run(t, append([]string{"survey", "--json", "--data", t.TempDir()}, args...)...)
	require.Contains(t, []int{0, 1, 3}, status, errs)
	require.NoError(t, json.Unmarshal([]byte(out), &doc), out)
	return doc
}

// A capture is dated in UTC, and the hours asked for are those of the place where it is looked at: the same
// nights are found wherever that is.
func TestBetweenTakesTheLocalHoursOfACapture(t *testing.T) {
	defer func(was *time.Location) { time.Local = was }(time.Local)
	for _, name := range []string{"Asia/Kolkata", "America/Los_Angeles"} {
		zone, err := time.LoadLocation(name)
		require.NoError(t, err)
		time.Local = zone
		header := fmt.Sprintf(`{"schema":"tankhand/capture/1","source":"board","started":%q,"part":1}`+"\n",
			time.Date(2026, 5, 4, 12, 0, 0, 0, zone).UTC().Format(time.RFC3339))
		first := time.Date(2026, 5, 4, 12, 0, 0, 0, zone)
		path := night(t, zone, func(at time.Time, ullage string) string {
			return fmt.Sprintf(`{"ms":%d,"data":"Distance: %s cm Pump: OFF\r\n"}`+"\n", at.Sub(first).Milliseconds(), ullage)
		})
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path, append([]byte(header), text...), 0o600))

		byNight, byDay := surveyed(t, "--file", path, "--between", "22:00-06:00"), surveyed(t, "--file", path, "--between", "06:00-22:00")
		assert.Equal(t, "22:00-06:00", byNight.Feed.Between)
		assert.Equal(t, 1.0, *byNight.Findings[1].Figures["dropout_fraction"], name)
		assert.Zero(t, *byDay.Findings[1].Figures["dropout_fraction"], name)

		all := surveyed(t, "--file", path).Findings[1]
		require.NotNil(t, all.Mostly, name)
		assert.Equal(t, "22:00 06:00 960 960", fmt.Sprint(all.Mostly.From, " ", all.Mostly.To, " ", all.Mostly.Events, " ", all.Mostly.Of), name)
	}
}

// A log with a clock of its own is taken by that clock, wherever it is looked at; one that only counts from
// its own start has no nights, and that is said.
func TestBetweenTakesTheClockOfALog(t *testing.T) {
	path := night(t, time.UTC, func(at time.Time, ullage string) string {
		return at.Format("15:04:05") + " dist=" + ullage + "cm pump=OFF\n"
	})
	doc := surveyed(t, "--file", path, "--between", "22:00-06:00")
	assert.Equal(t, 1.0, *doc.Findings[1].Figures["dropout_fraction"])

	counts := night(t, time.UTC, func(at time.Time, ullage string) string {
		return fmt.Sprintf("up=%d dist=%scm pump=OFF\n", at.Unix()-1777895000, ullage)
	})
	_, errs, status := run(t, "survey", "--file", counts, "--between", "22:00-06:00", "--data", t.TempDir())
	assert.Equal(t, 2, status)
	assert.Contains(t, errs, "no time of day")
}
