package diagnostics_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// BenchmarkMonitor is the cost of all checks for one reading at 10 Hz with a pump that cycles.
func BenchmarkMonitor(b *testing.B) {
	rnd := rand.New(rand.NewPCG(1, 2))
	levels := make([]livelevel.Level, 36000)
	at := time.Date(2026, 5, 4, 7, 0, 0, 0, time.UTC)
	for i := range levels {
		phase := float64(i%18000) / 18000
		u := 1.2 - 0.8*phase
		pump := 1.0
		if phase > 0.5 {
			u, pump = 0.4+0.8*phase, 0
		}
		r := livelevel.Reading{}
		r.Set(livelevel.Ullage, math.Round((u+0.002*rnd.NormFloat64())*1000)/1000)
		r.Set(livelevel.Pump, pump)
		r.Set(livelevel.Supply, 4.9)
		v, _ := r.Get(livelevel.Ullage)
		levels[i] = livelevel.Level{Reading: r, RawUllage: v}
	}
	m := diagnostics.NewMonitor(&site.Sheet{}, 0)
	b.ReportAllocs()
	b.ResetTimer()
	for i := range b.N {
		l := &levels[i%len(levels)]
		l.Reading.Time = at.Add(time.Duration(i) * 100 * time.Millisecond)
		m.Add(l)
	}
}
