package livelevel

import (
	"math"
	"math/rand/v2"
	"time"

	"example.org/tankhand/livelevel/signal"
)

// dirt is one way in which a simulated feed is not clean. This is the first of two generators: the
// gauge's constants were chosen while looking at it. The second, which they were not, is heldOut.
type dirt struct {
	name   string
	hz     float64
	spoil  func(w *world, truth float64) (d float64, lost bool)
	steps  bool // the truth jumps
	digits float64
	bunch  int  // readings that arrive together
	single bool // one population, whatever else
	double bool // two that are well apart
}

// world is the state of one simulated feed.
type world struct {
	rng  *rand.Rand
	t    float64
	last float64
	left int // readings that a burst still lasts
}

func (w *world) gauss(s float64) float64 { return s * w.rng.NormFloat64() }
func (w *world) chance(p float64) bool   { return w.rng.Float64() < p }

const wall = 0.42

var dirts = []dirt{
	{name: "quiet (2 mm noise)", single: true, hz: 10, spoil: func(w *world, d float64) (float64, bool) { return d + w.gauss(0.002), false }},
	{name: "noisy (10 mm)", single: true, hz: 10, spoil: func(w *world, d float64) (float64, bool) { return d + w.gauss(0.010), false }},
	{name: "lost echoes, 30 %", single: true, hz: 10, spoil: func(w *world, d float64) (float64, bool) {
		return d + w.gauss(0.003), w.chance(0.3)
	}},
	{name: "spikes, 8 %", single: true, hz: 10, spoil: func(w *world, d float64) (float64, bool) {
		if w.chance(0.08) {
			return 4 * w.rng.Float64(), false
		}
		return d + w.gauss(0.003), false
	}},
	{name: "spikes, 30 %, 20 Hz", single: true, hz: 20, spoil: func(w *world, d float64) (float64, bool) {
		if w.chance(0.3) {
			return 4 * w.rng.Float64(), false
		}
		return d + w.gauss(0.003), false
	}},
	{name: "wall echo, 25 %", double: true, hz: 10, spoil: func(w *world, d float64) (float64, bool) {
		if w.chance(0.25) {
			return wall + w.gauss(0.001), false
		}
		return d + w.gauss(0.003), false
	}},
	{name: "wall echo in bursts", hz: 10, spoil: func(w *world, d float64) (float64, bool) {
		if w.left == 0 && w.chance(0.02) {
			w.left = 1 + int(w.rng.ExpFloat64()*8)
		}
		if w.left > 0 {
			w.left--
			return wall + w.gauss(0.001), false
		}
		return d + w.gauss(0.003), false
	}},
	{name: "second bounce, 30 %", double: true, hz: 10, spoil: func(w *world, d float64) (float64, bool) {
		if w.chance(0.3) {
			return 2*d + w.gauss(0.004), false
		}
		return d + w.gauss(0.003), false
	}},
	{name: "ghost of an earlier ping, 15 %", hz: 10, spoil: func(w *world, d float64) (float64, bool) {
		if w.chance(0.15) {
			return math.Abs(2*d-1.31) + w.gauss(0.003), false
		}
		return d + w.gauss(0.003), false
	}},
	{name: "waves, 15 mm", single: true, hz: 10, spoil: func(w *world, d float64) (float64, bool) {
		return d + 0.015*math.Sin(2*math.Pi*w.t/1.7) + w.gauss(0.003), false
	}},
	{name: "holds the last value, 40 %", single: true, hz: 10, spoil: func(w *world, d float64) (float64, bool) {
		if w.last != 0 && w.chance(0.4) {
			return w.last, false
		}
		w.last = d + w.gauss(0.003)
		return w.last, false
	}},
	{name: "wall echo, 60 %", double: true, hz: 10, spoil: func(w *world, d float64) (float64, bool) {
		if w.chance(0.6) {
			return wall + w.gauss(0.001), false
		}
		return d + w.gauss(0.003), false
	}},
	{name: "turbulence while it fills, 20 mm", single: true, hz: 10, spoil: func(w *world, d float64) (float64, bool) {
		if w.t > 60 && w.t < 180 {
			return d + w.gauss(0.020), false
		}
		return d + w.gauss(0.002), false
	}},
	{name: "arrivals in bunches of five", single: true, hz: 10, bunch: 5, spoil: func(w *world, d float64) (float64, bool) { return d + w.gauss(0.003), false }},
	{name: "long drop-outs, 5 s of each 15 s", single: true, hz: 10, spoil: func(w *world, d float64) (float64, bool) {
		return d + w.gauss(0.003), math.Mod(w.t, 15) > 10
	}},
	{name: "everything at once", hz: 5, digits: 0.001, spoil: func(w *world, d float64) (float64, bool) {
		switch {
		case w.chance(0.10):
			return 0, true
		case w.chance(0.04):
			return 4 * w.rng.Float64(), false
		case w.chance(0.10):
			return wall + w.gauss(0.002), false
		}
		return d + 0.008*math.Sin(2*math.Pi*w.t/1.3) + w.gauss(0.004), false
	}},
	{name: "a step (bucket, sensor moved)", single: true, hz: 10, steps: true, spoil: func(w *world, d float64) (float64, bool) { return d + w.gauss(0.003), false }},
	{name: "slow feed, 1 Hz, 1 cm digits", single: true, hz: 1, digits: 0.01, spoil: func(w *world, d float64) (float64, bool) { return d + w.gauss(0.004), false }},
	{name: "1 Hz, spikes 8 %, lost 10 %", single: true, hz: 1, digits: 0.001, spoil: func(w *world, d float64) (float64, bool) {
		if w.chance(0.08) {
			return 4 * w.rng.Float64(), false
		}
		return d + w.gauss(0.003), w.chance(0.1)
	}},
	{name: "0.2 Hz, 3 mm noise", single: true, hz: 0.2, spoil: func(w *world, d float64) (float64, bool) { return d + w.gauss(0.003), false }},
}

// truth is the ullage of a tank that rests, fills, rests, is drawn from quickly, and rests.
func truth(t float64, steps bool) float64 {
	d := 1.20
	d -= 0.0012 * clampTime(t, 60, 180) // a fill of 1.2 mm/s
	d += 0.015 * clampTime(t, 240, 260) // a quick draw of 15 mm/s
	if steps && t >= 90 {
		d -= 0.12
	}
	return d
}

func clampTime(t, from, to float64) float64 { return min(max(t-from, 0), to-from) }

// series is one simulated feed with what was true, and what each method made of it.
type series struct {
	times, truth, raw, median, gauge []float64
	levels                           []Level
}

var feedStart = time.Date(2026, 5, 4, 7, 0, 0, 0, time.UTC)

func (d dirt) play(seed uint64) series {
	w := &world{rng: rand.New(rand.NewPCG(seed, 77))}
	g := NewGauge(nil)
	var s series
	var last5 []float64
	raw := math.NaN()
	for i := range int(320 * d.hz) {
		w.t = float64(i) / d.hz
		real := truth(w.t, d.steps)
		v, lost := d.spoil(w, real)
		if d.digits > 0 {
			v = d.digits * math.Round(v/d.digits)
		}
		arrival := w.t
		if d.bunch > 0 {
			arrival = float64((i/d.bunch+1)*d.bunch) / d.hz
		}
		r := Reading{Time: feedStart.Add(time.Duration(arrival * 1e9)), EchoLost: lost}
		if !lost {
			r.Set(Ullage, v)
			raw = v
			last5 = append(last5, v)
			last5 = last5[max(0, len(last5)-5):]
		}
		l := g.Add(r)
		s.times, s.truth = append(s.times, w.t), append(s.truth, real)
		s.raw, s.median = append(s.raw, raw), append(s.median, signal.Median(last5))
		s.gauge, s.levels = append(s.gauge, l.Ullage), append(s.levels, l)
	}
	return s
}

// rms is the root-mean-square error after the first ten seconds.
func (s series) rms(est []float64) float64 {
	sum, n := 0.0, 0.0
	for i, v := range est {
		if s.times[i] < 10 || math.IsNaN(v) {
			continue
		}
		sum += (v - s.truth[i]) * (v - s.truth[i])
		n++
	}
	return math.Sqrt(sum / n)
}

// lag is the delay of the truth that an estimate fits best, in seconds, over a stretch of time.
func (s series) lag(est []float64, steps bool, from, to float64) float64 {
	best, at := math.Inf(1), 0.0
	for shift := -1.0; shift < 12; shift += 0.05 {
		sum := 0.0
		for i, v := range est {
			if s.times[i] < from || s.times[i] > to || math.IsNaN(v) {
				continue
			}
			sum += math.Abs(v - truth(s.times[i]-shift, steps))
		}
		if sum < best {
			best, at = sum, shift
		}
	}
	return at
}
