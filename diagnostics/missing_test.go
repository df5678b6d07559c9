package diagnostics_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/diagnostics/script"
)

// complete is a feed and a sheet with all that the checks need: each of them can tell.
const complete = `seed 3
sheet sensor.face_height 1.75 m
sheet sensor.blanking 0.25 m
sheet marks.full 0.35 m
sheet marks.empty 1.70 m
sheet marks.low_set 40 %
sheet marks.full_set 95 %
sheet pump.healthy_flow 2.3 m3/h
tank box 1 m 0.95 m 1.6 m
every 2s
noise 2 mm
step 1 mm
set mode 1
set supply 5 V
set button 0
set full-mark 0.35 m
set empty-mark 1.70 m
ullage 1.05 m
pump off
ramp 0.1 mm/s
play 20m
pump on
ramp -0.5725 mm/s
play 12m
pump off
ramp 0.001 mm/s
play 7h
`

func playScript(t *testing.T, text string) error {
	t.Helper()
	s, err := script.Parse("complete.txt", text)
	require.NoError(t, err)
	return s.Run()
}

func TestEveryCheckCanTell(t *testing.T) {
	text := complete
	for _, c := range diagnostics.Checks() {
		text += "expect " + c.ID() + " pass\n"
	}
	require.NoError(t, playScript(t, text))
}

// TestMissingIsNamed takes away, one after the other, what a check needs: then it cannot tell, and says by name
// what would.
func TestMissingIsNamed(t *testing.T) {
	for _, tt := range []struct {
		check   string
		without []string // lines that begin so are left out
		instead string   // the whole script, where leaving out lines will not do
		missing string
	}{
		{check: "feed-health", instead: "quiet 1s\n", missing: "at least three lines"},
		{check: "echo-dropouts", instead: "every 2s\nullage none\npump off\nplay 10m\n", missing: "a feed with the distance"},
		{check: "echo-dropouts", instead: "every 2s\nullage 1 m\nnoise 2 mm\nplay 30s\n", missing: "at least 20 pings"},
		{check: "echo-dropouts", instead: "every 1s\nullage 1 m\nplay 5m\n", missing: "repeats the last value"},
		{check: "reading-spread", instead: "every 2s\nullage 1 m\nplay 10s\n", missing: "distances"},
		{check: "reading-shape", instead: "every 2s\nullage none\npump off\nplay 10m\n", missing: "distances"},
		{check: "stuck-reading", instead: "every 2s\nullage 1 m\nplay 10m\n", missing: "pump.healthy_flow"},
		{check: "pump-noise", without: []string{"pump"}, missing: "a pump column"},
		{check: "pump-noise", without: []string{"pump on"}, missing: "45 s with the pump on"},
		{check: "relay-switching", without: []string{"pump"}, missing: "a pump or relay column"},
		{check: "threshold-margin", without: []string{"sheet marks", "set full-mark", "set empty-mark"}, missing: "marks in the site sheet"},
		{check: "threshold-margin", instead: "sheet marks.full 0.35 m\nsheet marks.empty 1.7 m\nsheet marks.low_set 40 %\nevery 2s\nullage none\npump off\nplay 10m\n", missing: "distances"},
		{check: "restarts", instead: "quiet 1s\n", missing: "readings or boot texts"},
		{check: "supply-sag", without: []string{"set supply"}, missing: "a supply column"},
		{check: "supply-sag", without: []string{"pump on"}, missing: "the pump on and off"},
		{check: "fill-rate", without: []string{"pump"}, missing: "a pump or relay column"},
		{check: "fill-rate", without: []string{"pump on"}, missing: "a run of the pump"},
		{check: "fill-rate", without: []string{"sheet pump.healthy_flow"}, missing: "pump.healthy_flow"},
		{check: "fill-rate", without: []string{"tank"}, missing: "the tank's shape"},
		{check: "fill-rate", without: []string{"sheet sensor.face_height"}, missing: "sensor.face_height"},
		{check: "draw-rate", without: []string{"pump"}, missing: "a pump or relay column"},
		{check: "draw-rate", without: []string{"pump off"}, missing: "with the pump off"},
		{check: "drift", instead: "every 2s\nullage 1 m\nnoise 2 mm\npump off\nplay 2h\n", missing: "six hours of feed"},
		{check: "drift", instead: "every 2s\nullage 0.5 m\nnoise 2 mm\npump off\nramp 60 mm/h\nplay 8h\n", missing: "without a draw-off"},
		{check: "marks", without: []string{"set full-mark", "set empty-mark"}, missing: "full-mark and empty-mark in the feed"},
		{check: "marks", without: []string{"sheet marks"}, missing: "marks.full and marks.empty"},
		{check: "obeys-settings", without: []string{"pump"}, missing: "a pump or relay column"},
		{check: "obeys-settings", without: []string{"sheet marks", "set full-mark", "set empty-mark"}, missing: "marks with low_set"},
		{check: "obeys-settings", instead: strings.Replace(complete, "set mode 1", "set mode 0", 1), missing: "the controller in auto"},
		{check: "inputs", without: []string{"set button"}, missing: "a button or demand column"},
	} {
		text := tt.instead
		if text == "" {
			text = strings.Join(kept(complete, tt.without), "\n") + "\n"
		}
		assert.NoError(t, playScript(t, text+"expect "+tt.check+" missing \""+tt.missing+"\"\n"), "%s without %v", tt.check, tt.without)
	}
}

// kept are the lines of a script that begin with none of the words.
func kept(text string, without []string) (lines []string) {
next:
	for _, line := range strings.Split(text, "\n") {
		for _, w := range without {
			if strings.HasPrefix(line, w) {
				continue next
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// estimates are the figures that are estimates; counts, times and what was seen as it is are none.
var estimates = map[string][][3]string{
	"feed-health":      {{"decoded_fraction", "decoded_low", "decoded_high"}},
	"echo-dropouts":    {{"dropout_fraction", "dropout_low", "dropout_high"}},
	"reading-spread":   {{"spread_m", "spread_low", "spread_high"}},
	"reading-shape":    {{"spike_fraction", "spike_low", "spike_high"}, {"second_share", "second_low", "second_high"}},
	"pump-noise":       {{"spread_on_m", "spread_on_low", "spread_on_high"}, {"spread_off_m", "spread_off_low", "spread_off_high"}, {"ratio", "ratio_low", "ratio_high"}},
	"threshold-margin": {{"spread_m", "spread_low", "spread_high"}, {"false_switches_per_h", "false_low", "false_high"}},
	"supply-sag":       {{"supply_off_v", "supply_off_low", "supply_off_high"}, {"supply_on_v", "supply_on_low", "supply_on_high"}},
	"fill-rate":        {{"fill_m3_per_h", "fill_low", "fill_high"}, {"of_healthy", "of_healthy_low", "of_healthy_high"}},
	"draw-rate":        {{"draw_m3_per_h", "draw_low", "draw_high"}, {"day_m3_per_h", "day_low", "day_high"}},
	"drift":            {{"drift_m_per_h", "drift_low", "drift_high"}},
}

func TestEveryEstimateHasItsInterval(t *testing.T) {
	s, err := script.Parse("complete.txt", complete)
	require.NoError(t, err)
	all, err := s.Findings()
	require.NoError(t, err)
	found := map[string]diagnostics.Finding{}
	for _, f := range all {
		found[f.Check] = f
	}
	for check, all := range estimates {
		f := found[check]
		for _, names := range all {
			mid, ok := f.Figure(names[0])
			low, _ := f.Figure(names[1])
			high, _ := f.Figure(names[2])
			require.True(t, ok, "%s %s", check, names[0])
			assert.True(t, low <= mid && mid <= high, "%s %s: %g in %g to %g", check, names[0], mid, low, high)
		}
	}
}
