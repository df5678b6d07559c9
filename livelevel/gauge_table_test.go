package livelevel

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/livelevel/signal"
)

// TestTable prints the table of errors and lags: go test ./livelevel -run Table -v
func TestTable(t *testing.T) {
	fmt.Println("| feed | raw: RMS mm | median of 5: RMS mm | gauge: RMS mm | lag of the median, fill / draw s | lag of the gauge, fill / draw s |")
	fmt.Println("|---|---|---|---|---|---|")
	for _, d := range dirts {
		var raw, med, gau, mf, md, gf, gd float64
		const runs = 5
		for seed := range uint64(runs) {
			s := d.play(seed + 1)
			raw += 1000 * s.rms(s.raw) / runs
			med += 1000 * s.rms(s.median) / runs
			gau += 1000 * s.rms(s.gauge) / runs
			mf += s.lag(s.median, d.steps, 50, 200) / runs
			md += s.lag(s.median, d.steps, 235, 275) / runs
			gf += s.lag(s.gauge, d.steps, 50, 200) / runs
			gd += s.lag(s.gauge, d.steps, 235, 275) / runs
		}
		fmt.Printf("| %s | %.1f | %.1f | %.1f | %.1f / %.1f | %.1f / %.1f |\n", d.name, raw, med, gau, mf, md, gf, gd)
		if !d.steps && d.hz >= 1 {
			assert.Less(t, gau, raw, "%s: beside the raw reading", d.name)
			assert.Less(t, gau, med, "%s: beside the median", d.name)
		}
		allowed := max(2, 2/d.hz)
		assert.LessOrEqual(t, gf, allowed, "%s: lag in a fill", d.name)
		assert.LessOrEqual(t, gd, allowed, "%s: lag in a quick draw", d.name)
	}
}

// Healthy feeds have one population: a gauge that speaks of two there cries wolf.
func TestOneEchoIsNotTwo(t *testing.T) {
	for _, d := range dirts {
		if !d.single {
			continue
		}
		for seed := range uint64(4) {
			two := 0
			for _, l := range d.play(seed + 20).levels {
				if l.How == Chosen {
					two++
				}
			}
			assert.Zero(t, two, "%s, seed %d", d.name, seed)
		}
	}
}

// Where there are two it says so most of the time, and how it chose.
func TestTwoEchoesAreSaid(t *testing.T) {
	for _, d := range dirts {
		if !d.double {
			continue
		}
		said, n := 0, 0
		for i, l := range d.play(31).levels {
			if i > 300 {
				n++
				if l.How == Chosen && l.Why != "" && l.Second > 0 {
					said++
				}
			}
		}
		assert.Greater(t, float64(said)/float64(n), 0.6, d.name)
	}
}

// At least three million readings a second on one core, without an allocation.
func BenchmarkGauge(b *testing.B) {
	s := dirts[3].play(9)
	for name, g := range map[string]*Gauge{"no sheet": NewGauge(nil), "full sheet": NewGauge(fullSheet(b))} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				g.Add(s.levels[i%len(s.levels)].Reading)
				i++
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds()/1e6, "Mreadings/s")
		})
	}
}

// Still water and a ladder: nothing but the majority tells them apart. Whichever it takes, the 95 %
// interval must hold the water, and the words must say what is not certain. Once the water has moved it
// is known, and the interval is narrow again.
func TestTheIntervalHoldsBothEchoesWhileUncertain(t *testing.T) {
	const water, ladder = 1.20, 0.42
	for _, share := range []float64{0.35, 0.5, 0.65} {
		g := NewGauge(nil)
		w := &world{rng: rand.New(rand.NewPCG(5, uint64(100*share)))}
		play := func(from, to int, truth func(i int) float64, judge func(l Level, d float64)) {
			for i := from; i < to; i++ {
				d := truth(i)
				v := d + w.gauss(0.003)
				if w.chance(share) {
					v = ladder + w.gauss(0.001)
				}
				judge(g.Add(at(float64(i)/10, Ullage, v)), d)
			}
		}
		held, n := 0, 0
		play(0, 1200, func(int) float64 { return water }, func(l Level, d float64) {
			if l.Reading.Time.Sub(feedStart).Seconds() > 20 {
				n++
				if math.Abs(l.Ullage-d) <= signal.Z95*l.U {
					held++
				}
			}
		})
		assert.Greater(t, float64(held)/float64(n), 0.95, "share of the ladder %.2f", share)
		assert.Contains(t, g.Budget().Largest, "which of two echoes")
		var last Level
		play(1200, 2400, func(i int) float64 { return water - 0.0002*float64(i-1200) }, func(l Level, d float64) { last = l })
		assert.InDelta(t, water-0.24, last.Ullage, 0.02, "share of the ladder %.2f", share)
		assert.Less(t, last.U, 0.04, "share of the ladder %.2f", share)
		assert.NotContains(t, g.Budget().Largest, "which of two echoes")
	}
}
