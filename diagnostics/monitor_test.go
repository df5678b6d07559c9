package diagnostics_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// contract is what scripts and the fault tree rely on: ids, figures and words, in this order.
var contract = []struct {
	id      string
	figures []string
	aspects []diagnostics.Aspect
}{
	{"feed-health", []string{"decoded_fraction", "rate_hz", "longest_gap_s", "decoded_low", "decoded_high"}, []diagnostics.Aspect{{Name: "state", Words: []string{
		"clean", "damaged", "unreadable", "boot-only", "stops", "silent", "no-port", "busy", "no-right"}}}},
	{"echo-dropouts", []string{"dropout_fraction", "dropout_low", "dropout_high", "longest_dropout_s", "worst_hour_fraction"},
		[]diagnostics.Aspect{{Name: "amount", Words: []string{"few", "some", "nearly-all"}},
			{Name: "when", Words: []string{"any-time", "near-full", "near-empty", "with-pump", "comes-and-goes", "certain-hours"}}}},
	{"reading-spread", []string{"spread_m", "spread_low", "spread_high"}, []diagnostics.Aspect{{Name: "amount", Words: []string{"small", "medium", "large"}}}},
	{"reading-shape", []string{"spike_fraction", "second_share", "second_ullage_m", "second_ratio", "spike_low", "spike_high",
		"second_low", "second_high"},
		[]diagnostics.Aspect{{Name: "shape", Words: []string{"quiet", "spikes", "fixed-second", "double-second", "ghost", "wanders"}}}},
	{"stuck-reading", []string{"longest_same_s"}, []diagnostics.Aspect{{Name: "motion", Words: []string{"follows", "frozen-near", "frozen-elsewhere"}}}},
	{"pump-noise", []string{"spread_on_m", "spread_off_m", "ratio", "spread_on_low", "spread_on_high", "spread_off_low",
		"spread_off_high", "ratio_low", "ratio_high"}, []diagnostics.Aspect{{Name: "sync", Words: []string{"same", "worse-on", "only-on"}}}},
	{"relay-switching", []string{"starts", "switches", "starts_per_h_worst", "shortest_on_s", "shortest_off_s", "rests_short", "starts_early"},
		[]diagnostics.Aspect{{Name: "amount", Words: []string{"rare", "several", "many"}},
			{Name: "spacing", Words: []string{"near-a-mark", "even-and-quick", "after-restarts", "at-any-level"}},
			{Name: "rest", Words: []string{"kept", "short"}}}},
	{"threshold-margin", []string{"band_m", "spread_m", "false_switches_per_h", "spread_low", "spread_high", "false_low", "false_high"},
		[]diagnostics.Aspect{{Name: "band", Words: []string{"far-too-small", "tight", "wide"}}}},
	{"restarts", []string{"restarts", "after_pump_on", "after_pump_off", "worst_hour"},
		[]diagnostics.Aspect{{Name: "when", Words: []string{"none", "relay-pulls-in", "relay-drops-out", "other-times", "as-we-opened"}},
			{Name: "cause", Words: []string{"not-given", "power", "program", "port"}}}},
	{"supply-sag", []string{"supply_off_v", "supply_on_v", "lowest_v", "supply_off_low", "supply_off_high", "supply_on_low",
		"supply_on_high"}, []diagnostics.Aspect{{Name: "dip", Words: []string{"slight", "marked", "deep"}}}},
	{"fill-rate", []string{"fill_m3_per_h", "fill_low", "fill_high", "of_healthy", "of_healthy_low", "of_healthy_high", "runs_m3_per_h_per_day", "runs_low", "runs_high", "runs_left"},
		[]diagnostics.Aspect{{Name: "rise", Words: []string{"falls", "none", "slow", "as-expected"}},
			{Name: "course", Words: []string{"same", "fades", "none-from-start"}},
			{Name: "runs", Words: []string{"alike", "weaker"}}}},
	{"draw-rate", []string{"draw_m3_per_h", "draw_low", "draw_high", "night_m3_per_h", "night_low", "night_high",
		"day_m3_per_h", "day_low", "day_high"},
		[]diagnostics.Aspect{{Name: "trend", Words: []string{"falls", "steady", "rises", "rises-past-full"}}}},
	{"drift", []string{"drift_m_per_h", "temperature_correlation", "drift_low", "drift_high", "correlation_low", "correlation_high"},
		[]diagnostics.Aspect{{Name: "drift", Words: []string{"none", "with-temperature", "steady"}}}},
	{"marks", []string{"lowest_ullage_m", "highest_ullage_m"}, []diagnostics.Aspect{{Name: "state", Words: []string{
		"agree", "differ", "swapped", "low-above-full", "full-in-blanking", "full-above-overflow", "blank"}}}},
	{"obeys-settings", []string{"starts_outside", "stops_outside", "overrun_s", "dry_s"},
		[]diagnostics.Aspect{{Name: "mode", Words: []string{"auto", "manual"}}, {Name: "obeys", Words: []string{"as-set", "starts-wrong", "stops-wrong"}}}},
	{"inputs", []string{"edges", "held_s"}, []diagnostics.Aspect{{Name: "state", Words: []string{"quiet", "presses", "held"}}}},
}

func TestContract(t *testing.T) {
	checks := diagnostics.Checks()
	require.Len(t, checks, len(contract))
	found := diagnostics.NewMonitor(nil, 0).Findings(time.Time{})
	for i, want := range contract {
		assert.Equal(t, want.id, checks[i].ID())
		assert.Equal(t, want.aspects, checks[i].Aspects())
		alone := checks[i].New(&site.Sheet{}).Finding(time.Time{})
		for _, f := range []diagnostics.Finding{found[i], alone} {
			var names []string
			for _, g := range f.Figures {
				names = append(names, g.Name)
			}
			assert.Equal(t, want.id, f.Check)
			assert.Equal(t, want.figures, names, want.id)
			assert.Equal(t, diagnostics.CannotTell, f.Verdict, "%s: nothing came yet", want.id)
			assert.NotEmpty(t, f.Missing, want.id)
			assert.NotEmpty(t, f.Limit, want.id)
			assert.NotEmpty(t, f.Source, want.id)
			assert.NotEmpty(t, f.Why, want.id)
			assert.NotContains(t, f.Why+f.Limit+f.Missing, "NaN", want.id)
		}
	}
}

// line makes the level of a report.
func line(at time.Time, u float64) *livelevel.Level {
	r := livelevel.Reading{Time: at}
	r.Set(livelevel.Ullage, u)
	return &livelevel.Level{Reading: r, RawUllage: u}
}

// TestFreeze: what a technician does to the sensor during a probe is no evidence, and afterwards all
// windows start anew.
func TestFreeze(t *testing.T) {
	at := time.Date(2026, 5, 4, 7, 0, 0, 0, time.UTC)
	m := diagnostics.NewMonitor(&site.Sheet{}, time.Minute)
	play := func(n int, scatter float64) {
		for i := range n {
			m.Add(line(at, 1+scatter*math.Sin(float64(i)*2.4)))
			at = at.Add(100 * time.Millisecond)
		}
	}
	spread := func() *diagnostics.Finding { return &m.Findings(at)[2] }
	play(1200, 0.002)
	require.Equal(t, "small", spread().Grade("amount"))
	m.Freeze(at)
	play(1200, 0.2)
	require.Equal(t, "small", spread().Grade("amount"))
	m.Thaw()
	require.Equal(t, "", spread().Grade("amount"))
	play(1200, 0.002)
	require.Equal(t, "small", spread().Grade("amount"))
	require.False(t, spread().Evidence.From.Before(at.Add(-3*time.Minute)))
}

// TestSteadyState: no memory is taken for a reading, so a week costs what an hour costs.
func TestSteadyState(t *testing.T) {
	at := time.Date(2026, 5, 4, 7, 0, 0, 0, time.UTC)
	m := diagnostics.NewMonitor(&site.Sheet{}, 0)
	l := line(at, 1)
	l.Reading.Set(livelevel.Pump, 0)
	i := 0
	play := func() {
		for range 3000 {
			i++
			l.RawUllage = 1 + 0.003*math.Sin(float64(i)*2.4)
			l.Reading.Set(livelevel.Ullage, l.RawUllage)
			l.Reading.Time = at.Add(time.Duration(i) * 100 * time.Millisecond)
			m.Add(l)
		}
	}
	play()
	require.Less(t, testing.AllocsPerRun(10, play), 3.0)
}

// TestNoTime: a feed without any time says so where time is needed, and tells the rest.
func TestNoTime(t *testing.T) {
	m := diagnostics.NewMonitor(&site.Sheet{}, 0)
	for i := range 2000 {
		l := line(time.Time{}, 1+0.003*math.Sin(float64(i)*2.4))
		l.Reading.Set(livelevel.Pump, float64(i/500%2))
		m.Add(l)
	}
	for _, f := range m.Findings(time.Time{}) {
		switch f.Check {
		case "reading-spread":
			assert.Equal(t, "small", f.Grade("amount"))
		case "relay-switching":
			assert.Equal(t, diagnostics.CannotTell, f.Verdict)
			starts, _ := f.Figure("starts")
			assert.Equal(t, 2.0, starts)
		}
	}
}

// FuzzMonitor throws hostile readings at all checks: no panic, only words and figures of the contract.
func FuzzMonitor(f *testing.F) {
	f.Add([]byte("\x00\x01\x02\x03\x04\x05\x06\x07\x08\x09\x0a\x0b"))
	f.Add([]byte{0, 255, 7, 9, 0, 0, 0, 1, 0, 4, 2, 2, 3, 3, 3, 8, 8, 1, 1, 1})
	odd := []float64{0, 1, -1, 1e300, -1e300, math.NaN(), math.Inf(1), math.Inf(-1), 0.5, 1e-300, 100, 5}
	f.Fuzz(func(t *testing.T, data []byte) {
		at := time.Date(2026, 5, 4, 7, 0, 0, 0, time.UTC)
		for _, window := range []time.Duration{0, time.Minute} {
			m := diagnostics.NewMonitor(&site.Sheet{}, window)
			for i := 0; i+3 < len(data); i += 4 {
				r := livelevel.Reading{Kind: livelevel.Kind(data[i] % 8), EchoLost: data[i]&16 != 0, Ours: data[i]&32 != 0, Text: string(data[i : i+2])}
				at = at.Add(time.Duration(int8(data[i+1])) * 300 * time.Millisecond)
				if data[i]&64 == 0 {
					r.Time = at
				}
				l := livelevel.Level{RawUllage: odd[int(data[i+2])%len(odd)], Ullage: 1, Height: 1}
				for k := range 3 {
					r.Set(livelevel.Role(int(data[i+3]>>k)%livelevel.RoleCount), odd[int(data[i+2]>>k)%len(odd)])
				}
				l.Reading = r
				m.Add(&l)
			}
			for i, got := range m.Findings(at) {
				require.Equal(t, contract[i].id, got.Check)
				require.NotContains(t, got.Why+got.Limit+got.Missing, "NaN")
				for _, g := range got.Grades {
					require.True(t, known(contract[i].aspects, g), "%s %+v", got.Check, g)
				}
				for _, fig := range got.Figures {
					require.False(t, math.IsInf(fig.Value, 0))
				}
			}
		}
	})
}

func known(aspects []diagnostics.Aspect, g diagnostics.Grade) bool {
	for _, a := range aspects {
		for _, w := range a.Words {
			if a.Name == g.Aspect && w == g.Word {
				return true
			}
		}
	}
	return false
}

// TestAnUnreadableLogWithoutAClock: no line can be read, so no time passes; the lines themselves tell. Live, a few
// seconds of noise are no verdict yet.
func TestAnUnreadableLogWithoutAClock(t *testing.T) {
	noise := func(window time.Duration, n int) string {
		m := diagnostics.NewMonitor(&site.Sheet{}, window)
		for range n {
			m.Add(&livelevel.Level{Reading: livelevel.Reading{Kind: livelevel.Rejected}})
		}
		return m.Findings(time.Time{})[0].Grade("state")
	}
	assert.Equal(t, "unreadable", noise(0, 500))
	assert.Empty(t, noise(0, 20))
	assert.Empty(t, noise(time.Minute, 500))
}
