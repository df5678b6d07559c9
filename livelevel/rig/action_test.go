package rig

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestMendingEndsTheTrouble(t *testing.T) {
	for _, c := range []struct {
		fault string
		bad   func(figures) bool
	}{
		{"trigger-open", func(g figures) bool { return g.lost > 0.5 }},
		{"face-wet", func(g figures) bool { return g.lost > 0.05 }},
		{"brownout", func(g figures) bool { return g.restarts > 5 }},
		{"hyst-small", func(g figures) bool { return g.switches > 10 }},
		{"source-empty", func(g figures) bool { return g.onShare > 0.5 && g.rise < 0.2 }},
		{"thermal-trip", func(g figures) bool { return g.onShare > 0.5 && g.rise < 0.2 }},
		{"reset-loop", func(g figures) bool { return g.restarts > 5 }},
		{"contact-welded", func(g figures) bool { return g.onShare == 0 && g.rise > 0.2 }},
		{"waves", func(g figures) bool { return g.spread > 0.008 }},
	} {
		i := rigged(t, c.fault)
		i.Advance(70 * time.Second)
		before := listen(t, i, 2*time.Minute)
		assert.True(t, c.bad(before.figures()), "%s: %+v", c.fault, before.figures())
		require.NoError(t, i.Do(c.fault))
		i.Advance(30 * time.Second)
		after := listen(t, i, 2*time.Minute)
		assert.False(t, c.bad(after.figures()), "%s, mended: %+v", c.fault, after.figures())
		assert.NotEmpty(t, after.lines, c.fault)
	}
}

func TestDoneForAWhileOnly(t *testing.T) {
	i := rigged(t)
	i.Advance(time.Minute)
	require.NoError(t, i.Do("board-test"))
	held := listen(t, i, 20*time.Second)
	assert.InDelta(t, 0.5, held.figures().last, 0.01)
	back := listen(t, i, 10*time.Second)
	assert.Greater(t, back.figures().last, 1.0)
	require.NoError(t, i.Do("relay-unplug"))
	i.Advance(5 * time.Second)
	assert.False(t, i.pump.turning)
	i.Advance(200 * time.Second)
	assert.True(t, i.pump.turning, "plugged in again")
}

func TestWipedFaceGetsWetAgain(t *testing.T) {
	i := rigged(t, "face-wet:1")
	i.Advance(time.Minute)
	require.NoError(t, i.Do("face-wipe"))
	assert.Less(t, lostShare(listen(t, i, time.Minute)), 0.01)
	i.Advance(15 * time.Minute)
	assert.Greater(t, lostShare(listen(t, i, time.Minute)), 0.02)
}

func lostShare(f feed) float64 { return f.figures().lost }

func TestDoRefusesWhatItDoesNotKnow(t *testing.T) {
	i := rigged(t)
	assert.Error(t, i.Do("dance"))
	assert.NoError(t, i.Do("face-wet"), "a remedy without its fault changes nothing")
	for id := range actions {
		assert.NoError(t, i.Do(id), id)
		i.Advance(time.Second)
	}
	i.Advance(20 * time.Minute)
	assert.Empty(t, i.tests)
}

// Each prompted probe of the knowledge can be asked, and what is done for it is a probe of the knowledge.
func TestActionsAreProbes(t *testing.T) {
	probes := readProbes(t)
	for id := range actions {
		assert.Equal(t, "prompted", probes[id].kind, id)
	}
}

func TestConnect(t *testing.T) {
	i := rigged(t, "port-resets")
	i.Advance(10 * time.Second)
	require.NoError(t, i.Connect())
	f := listen(t, i, 10*time.Second)
	assert.Len(t, f.restarts, 1)
	assert.Equal(t, map[string]int{"external": 1}, f.causes)

	i = rigged(t, "port-taken")
	require.Error(t, i.Connect())
	require.NoError(t, i.Do("port-taken"))
	assert.NoError(t, i.Connect())
}

// Several at once, at a time, and coming and going.
func TestFaultsInTime(t *testing.T) {
	i := rigged(t, "trigger-open@60s/40s,10s", "display-only")
	f := listen(t, i, 3*time.Minute)
	for _, s := range f.lines {
		from := s.at - 60
		want := from >= 0.2 && from-float64(int(from/40))*40 < 9.8
		edge := from >= -0.2 && (from-float64(int(from/40))*40 < 0.3 || from-float64(int(from/40))*40 > 9.7)
		if !edge && want != s.lost && from-float64(int(from/40))*40 < 10 {
			t.Fatalf("at %.1f s lost is %v", s.at, s.lost)
		}
	}
	word, _, ok := i.Answer("display-look", []string{"text", "lit but blank", "dark"})
	require.True(t, ok)
	assert.Equal(t, "lit but blank", word)
}
