package rig

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestHealthyIsHealthy(t *testing.T) {
	i := rigged(t)
	f := listen(t, i, 3*time.Minute)
	g := f.figures()
	assert.Equal(t, 1800, len(f.lines), "ten readings a second")
	assert.Zero(t, f.rejected)
	assert.Empty(t, f.restarts)
	assert.Less(t, g.lost, 0.01)
	assert.Zero(t, g.spikes)
	assert.InDelta(t, 0.0025, g.spread, 0.0006)
	assert.Equal(t, 1.0, g.starts, "near low set at the start, so that the pump starts")
	on := 0
	for on < len(f.lines) && !f.lines[on].pump {
		on++
	}
	assert.Less(t, f.lines[on].at, 40.0)
	assert.Greater(t, f.lines[on].at, 5.0)
}

func TestSameSeedSameBytesWhateverTheStep(t *testing.T) {
	play := func(seed uint64, step time.Duration) []byte {
		i, err := New(Options{Seed: seed, Faults: []Fault{{ID: "face-wet"}, {ID: "brownout", At: 20 * time.Second}, {ID: "serial-noise"}}})
		require.NoError(t, err)
		var all []byte
		for done := time.Duration(0); done < time.Minute; done += step {
			all = append(all, i.Advance(step)...)
		}
		return all
	}
	want := play(3, 100*time.Millisecond)
	assert.NotEmpty(t, want)
	assert.True(t, bytes.Equal(want, play(3, 100*time.Millisecond)))
	assert.True(t, bytes.Equal(want, play(3, 7500*time.Microsecond)))
	assert.True(t, bytes.Equal(want, play(3, time.Minute)))
	assert.False(t, bytes.Equal(want, play(4, time.Minute)))
}

func TestMassBalanceHolds(t *testing.T) {
	for _, shape := range []string{"vertical cylinder", "box", "horizontal cylinder", "sphere", "cone bottom"} {
		for _, fault := range []string{"healthy", "draw-high", "contact-welded", "leak-real", "second-inflow"} {
			i, err := New(Options{Tank: shape, Faults: []Fault{{ID: fault}}})
			require.NoError(t, err)
			for range 20 {
				i.Advance(time.Minute)
				w := &i.water
				assert.InDelta(t, w.first+w.in-w.out-w.spilt, w.volume, 1e-9)
				assert.InDelta(t, w.volume, i.tank.volume(w.level), 1e-9)
				assert.GreaterOrEqual(t, w.level, 0.0)
				assert.LessOrEqual(t, w.level, i.cond.overflow+1e-9)
			}
		}
	}
}

// The port's reader moves the installation on while somebody asks and acts.
func TestFromSeveralGoroutines(t *testing.T) {
	i := rigged(t, "face-wet", "brownout")
	done := make(chan struct{})
	go func() {
		defer close(done)
		for range 200 {
			i.Advance(100 * time.Millisecond)
		}
	}()
	for _, probe := range []string{"sensor-face", "supply-sag-volts", "board-test"} {
		_, _, ok := i.Answer(probe, []string{"wet or dirty", "deep dip", "steady and right", "jumps"})
		assert.True(t, ok, probe)
		require.NoError(t, i.Do("face-wipe"))
		assert.NotEmpty(t, i.Status())
		assert.NotEmpty(t, i.SheetText())
		require.NoError(t, i.Connect())
	}
	<-done
}

func TestParseFault(t *testing.T) {
	for in, want := range map[string]Fault{
		"face-wet":                  {ID: "face-wet"},
		"face-wet@120s":             {ID: "face-wet", At: 2 * time.Minute},
		"face-wet@120s:0.4":         {ID: "face-wet", At: 2 * time.Minute, Severity: 0.4},
		"face-wet:1":                {ID: "face-wet", Severity: 1},
		"loose-joint/60s,15s":       {ID: "loose-joint", Every: time.Minute, For: 15 * time.Second},
		"loose-joint@1m:0.2/1m,15s": {ID: "loose-joint", At: time.Minute, Severity: 0.2, Every: time.Minute, For: 15 * time.Second},
		"healthy":                   {ID: "healthy"},
	} {
		got, err := ParseFault(in)
		require.NoError(t, err, in)
		assert.Equal(t, want, got, in)
	}
	for _, in := range []string{"", "nothing", "face-wet@", "face-wet@soon", "face-wet@-3s", "face-wet:", "face-wet:0", "face-wet:1.1",
		"face-wet:NaN", "face-wet/3s", "face-wet/3s,4s", "face-wet/3s,0s", "face-wet@1s:0.2:0.3"} {
		_, err := ParseFault(in)
		assert.Error(t, err, in)
	}
}

func FuzzParseFault(f *testing.F) {
	f.Add("face-wet@120s:0.4/1m,2s")
	f.Fuzz(func(t *testing.T, s string) {
		fault, err := ParseFault(s)
		if err != nil {
			return
		}
		i, err := New(Options{Faults: []Fault{fault}})
		require.NoError(t, err)
		i.Advance(time.Second)
	})
}

func BenchmarkAdvance(b *testing.B) {
	i, err := New(Options{Faults: []Fault{{ID: "face-wet"}, {ID: "pump-noise"}}})
	require.NoError(b, err)
	for b.Loop() {
		i.Advance(time.Second)
	}
}
