package livelevel

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/livelevel/signal"
)

// heldOut is the second generator: another tank, another course of the water, noise that remembers
// (autoregressive), spikes with heavy tails, echoes lost in spells, uneven arrival. It shares no code
// with the first one, and no constant of the gauge was chosen by it.
type heldOut struct {
	name              string
	spacing, jitter   float64 // s between readings; share of it by which arrivals vary
	sigma, remembers  float64 // m; correlation of neighbours
	spikes            float64 // share of the readings
	lossIn, lossOut   float64 // chance a reading that a spell of lost echoes begins, that it ends
	ladder            float64 // share of echoes from a ladder, more of them the farther the water is
	digit             float64
	hum               float64 // m: the pump shakes the reading while it runs
	better, nearWater bool    // must beat the raw reading; must stay within 6 mm
}

var heldOuts = []heldOut{
	{name: "white 4 mm", spacing: 0.06, jitter: 0.3, sigma: 0.004, better: true, nearWater: true},
	{name: "AR(1) 0.6, 4 mm", spacing: 0.1, jitter: 0.2, sigma: 0.004, remembers: 0.6, better: true, nearWater: true},
	{name: "AR(1) 0.9, 8 mm", spacing: 0.1, jitter: 0.2, sigma: 0.008, remembers: 0.9},
	{name: "heavy tails, 12 %", spacing: 0.1, jitter: 0.2, sigma: 0.003, spikes: 0.12, better: true, nearWater: true},
	{name: "heavy tails, 12 %, AR(1) 0.6", spacing: 0.15, jitter: 0.4, sigma: 0.005, remembers: 0.6, spikes: 0.12, better: true},
	{name: "lost in spells, 35 %", spacing: 0.1, jitter: 0.2, sigma: 0.003, lossIn: 0.02, lossOut: 0.037, better: true, nearWater: true},
	{name: "ladder, up to 30 %", spacing: 0.1, jitter: 0.2, sigma: 0.003, ladder: 0.3, better: true},
	{name: "pump shakes it, 12 mm", spacing: 0.1, jitter: 0.2, sigma: 0.002, hum: 0.012, better: true},
	{name: "0.5 s, 1 cm digits", spacing: 0.5, jitter: 0.1, sigma: 0.003, digit: 0.01},
	{name: "2 s, heavy tails 6 %", spacing: 2, jitter: 0.1, sigma: 0.003, spikes: 0.06, digit: 0.001, better: true},
	{name: "all of it", spacing: 0.2, jitter: 0.3, sigma: 0.004, remembers: 0.5, spikes: 0.05, lossIn: 0.01, lossOut: 0.1, ladder: 0.1, digit: 0.001, hum: 0.006, better: true},
}

// pumping tells whether this generator's pump runs.
func pumping(t float64) bool { return t > 100 && t < 250 }

// heldTruth is the ullage of a wider tank that is drawn from in gulps, filled, and drained.
func heldTruth(t float64) float64 {
	d := 2.10 + 0.05*(1-math.Cos(2*math.Pi*min(t, 90)/45))
	if t > 100 {
		d -= 0.0025 * (min(t, 250) - 100)
	}
	if t > 300 {
		d += 0.4 * (1 - math.Exp(-(t-300)/40))
	}
	return d
}

// heldRun is one feed of the second generator and what came of it.
type heldRun struct{ times, truth, raw, median, gauge []float64 }

func (h heldOut) play(seed int64) (out heldRun) {
	rng := rand.New(rand.NewChaCha8([32]byte{byte(seed), 0x48, 0x4f}))
	g := NewGauge(nil)
	noise, lost, raw := 0.0, false, math.NaN()
	var last5 []float64
	for t := 0.0; t < 400; t += h.spacing * (1 + h.jitter*(2*rng.Float64()-1)) {
		noise = h.remembers*noise + math.Sqrt(1-h.remembers*h.remembers)*h.sigma*rng.NormFloat64()
		if lost {
			lost = rng.Float64() >= h.lossOut
		} else {
			lost = rng.Float64() < h.lossIn
		}
		real := heldTruth(t)
		r := Reading{Time: feedStart.Add(time.Duration(t * float64(time.Second))), EchoLost: lost}
		v := h.echo(rng, t, real, noise)
		if !lost {
			r.Set(Ullage, v)
			raw = v
			last5 = append(last5, v)
			last5 = last5[max(0, len(last5)-5):]
		}
		l := g.Add(r)
		out.times, out.truth = append(out.times, t), append(out.truth, real)
		out.raw, out.median = append(out.raw, raw), append(out.median, signal.Median(last5))
		out.gauge = append(out.gauge, l.Ullage)
	}
	return out
}

// echo is what the sensor of this generator reports of the water.
func (h heldOut) echo(rng *rand.Rand, t, real, noise float64) float64 {
	v := real + noise
	if pumping(t) {
		v += h.hum * (2*rng.Float64() - 1)
	}
	switch p := rng.Float64(); {
	case p < h.spikes: // a Cauchy law about the water: many small, some beyond the tank
		v = min(max(real+0.08*math.Tan(math.Pi*(rng.Float64()-0.5)), 0.03), 6)
	case p < h.spikes+h.ladder*min(real/2.1, 1):
		v = 0.93 + 0.004*rng.NormFloat64()
	}
	if h.digit > 0 {
		v = h.digit * math.Floor(v/h.digit+0.5)
	}
	return v
}

// rms is the root-mean-square error from the twelfth second on.
func (r heldRun) rms(est []float64) float64 {
	sum, n := 0.0, 0
	for i, v := range est {
		if r.times[i] >= 12 && v == v {
			sum += math.Pow(v-r.truth[i], 2)
			n++
		}
	}
	return 1000 * math.Sqrt(sum/float64(n))
}

// lag is the delay against the truth that fits best over the fill and its end.
func (r heldRun) lag(est []float64) (at float64) {
	best := math.Inf(1)
	for shift := -2.0; shift <= 10; shift += 0.1 {
		sum := 0.0
		for i, v := range est {
			if t := r.times[i]; t > 90 && t < 280 && v == v {
				sum += math.Abs(v - heldTruth(t-shift))
			}
		}
		if sum < best {
			best, at = sum, shift
		}
	}
	return at
}

// TestHeldOutTable prints the table of the second generator: go test ./livelevel -run HeldOut -v
func TestHeldOutTable(t *testing.T) {
	fmt.Println("| held-out feed | raw: RMS mm | median of 5: RMS mm | gauge: RMS mm | lag of the median s | lag of the gauge s |")
	fmt.Println("|---|---|---|---|---|---|")
	const runs = 4
	for _, h := range heldOuts {
		var raw, med, gau, lm, lg float64
		for seed := range int64(runs) {
			s := h.play(seed)
			raw += s.rms(s.raw) / runs
			med += s.rms(s.median) / runs
			gau += s.rms(s.gauge) / runs
			lm += s.lag(s.median) / runs
			lg += s.lag(s.gauge) / runs
		}
		fmt.Printf("| %s | %.1f | %.1f | %.1f | %.1f | %.1f |\n", h.name, raw, med, gau, lm, lg)
		if h.better {
			assert.Less(t, gau, raw, "%s: beside the raw reading", h.name)
		}
		if h.nearWater {
			assert.Less(t, gau, 6.0, "%s: near the water", h.name)
		}
		assert.LessOrEqual(t, lg, max(2, 2*h.spacing), "%s: lag", h.name)
	}
}
