package diagnostics

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// The 95 % interval of a median by order statistics: of 6 values the whole range, of 20 from the 6th to the 15th,
// of 64 from the 24th to the 41st (common tables of the sign test, recomputed from the binomial distribution).
func TestSignBound(t *testing.T) {
	for n, want := range map[int]int{6: 0, 9: 1, 20: 5, 64: 23} {
		assert.Equal(t, want, signBound(n), "of %d", n)
	}
}

// A leak of 20 l/h at all times, and taps that take 0.6 m3/h for a tenth of the day. Tank of 1 m2.
func leaking(t *testing.T, days int, zone *time.Location, uptime bool) Finding {
	sheet, err := site.Parse("leak.yaml", []byte("sheet: tankhand/site/1\ntank: {shape: box, length: 1 m, width: 1 m, height: 4 m}\nsensor: {kind: sealed single, face_height: 4 m}\n"))
	require.NoError(t, err)
	m, g, rnd := NewMonitor(sheet, 0), livelevel.NewGauge(sheet), rand.New(rand.NewPCG(11, 12))
	start := time.Date(2026, 5, 4, 0, 0, 0, 0, zone)
	if uptime {
		start = time.Unix(0, 0).UTC()
	}
	u := 0.3
	for i := range days * 17280 {
		at := start.Add(time.Duration(i) * 5 * time.Second)
		u += 0.020 / 3600 * 5
		if h := at.Hour(); !uptime && h >= 6 && h < 22 && i/60%10 == 0 {
			u += 0.6 / 3600 * 5
		}
		r := livelevel.Reading{Time: at, Kind: livelevel.Report}
		r.Set(livelevel.Pump, 0)
		r.Set(livelevel.Ullage, u+0.002*rnd.NormFloat64())
		l := g.Add(r)
		m.Add(&l)
	}
	for _, f := range m.Findings(time.Time{}) {
		if f.Check == "draw-rate" {
			return f
		}
	}
	return Finding{}
}

func TestLeakByNightAndDrawByDay(t *testing.T) {
	for _, zone := range []*time.Location{time.UTC, time.FixedZone("east", 9*3600), time.FixedZone("west", -6*3600)} {
		f := leaking(t, 2, zone, false)
		for name, want := range map[string]float64{"night": 0.020, "day": 0.080} {
			mid, _ := f.Figure(name + "_m3_per_h")
			low, _ := f.Figure(name + "_low")
			high, _ := f.Figure(name + "_high")
			assert.InDelta(t, want, mid, 0.3*want, name)
			assert.True(t, low <= want && want <= high, "%s: %v to %v", name, low, high)
		}
		assert.Contains(t, f.Why, "by night at all times 0.0")
	}
	f := leaking(t, 1, time.UTC, true)
	assert.Contains(t, f.Why, "no time of day")
	night, _ := f.Figure("night_m3_per_h")
	assert.NotEqual(t, night, night, "unknown")
}
