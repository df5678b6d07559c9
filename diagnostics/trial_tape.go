package diagnostics

import (
	"math"
	"slices"
	"time"

	"example.org/tankhand/livelevel"
)

// tapeLength bounds what a trial remembers; beyond it every other sample goes.
const tapeLength = 4096

// sample is what a trial needs of one report.
type sample struct {
	at      time.Time
	ullage  float64 // as the controller says it; NaN: lost or not sent
	lost    bool
	height  float64
	percent float64
	pump    int8 // -1 not sent, 0 off, 1 on
	current float64
}

// tape remembers the reports of a trial and counts what came between them.
type tape struct {
	samples  []sample
	keep     int // every keep-th sample stays
	seen     int
	rejected int
	restarts []time.Time
}

// add takes a level; what came before from is not the trial's.
func (t *tape) add(l *livelevel.Level, from time.Time) {
	r := &l.Reading
	if r.Time.Before(from) {
		return
	}
	switch r.Kind {
	case livelevel.Restart:
		if !r.Ours && len(t.restarts) < 1000 {
			t.restarts = append(t.restarts, r.Time)
		}
	case livelevel.Rejected:
		t.rejected++
	case livelevel.Report:
		t.push(sampleOf(l))
	}
}

func sampleOf(l *livelevel.Level) sample {
	r := &l.Reading
	s := sample{at: r.Time, lost: r.EchoLost, height: l.Height, percent: l.Percent, pump: -1, current: math.NaN()}
	if v, ok := r.Get(livelevel.Ullage); ok {
		s.ullage = v // the controller's own figure: it is what is being tried
	} else {
		s.ullage = l.RawUllage
	}
	if r.EchoLost {
		s.ullage = math.NaN()
	}
	if on, sent := r.On(livelevel.Pump); sent {
		s.pump = 0
		if on {
			s.pump = 1
		}
	}
	if v, ok := r.Get(livelevel.MotorCurrent); ok {
		s.current = v
	}
	return s
}

func (t *tape) push(s sample) {
	if t.keep == 0 {
		t.keep = 1
	}
	t.seen++
	if t.seen%t.keep != 0 {
		return
	}
	t.samples = append(t.samples, s)
	if len(t.samples) >= tapeLength {
		for i := range tapeLength / 2 {
			t.samples[i] = t.samples[2*i]
		}
		t.samples = t.samples[:tapeLength/2]
		t.keep *= 2
	}
}

// last are the samples of the last d before now.
func (t *tape) last(now time.Time, d time.Duration) []sample {
	from := now.Add(-d)
	i := len(t.samples)
	for i > 0 && !t.samples[i-1].at.Before(from) {
		i--
	}
	return t.samples[i:]
}

// recent are the samples of the last d before now, or the newest n where a slow feed has fewer of them.
func (t *tape) recent(now time.Time, d time.Duration, n int) []sample {
	if got := t.last(now, d); len(got) >= n {
		return got
	}
	return t.samples[max(0, len(t.samples)-n):]
}

// since are the samples from a time on.
func (t *tape) since(from time.Time) []sample {
	i := slices.IndexFunc(t.samples, func(s sample) bool { return !s.at.Before(from) })
	if i < 0 {
		return nil
	}
	return t.samples[i:]
}

// lostShare is the share of reports without an echo; -1 without reports.
func lostShare(samples []sample) float64 {
	if len(samples) == 0 {
		return -1
	}
	n := 0
	for _, s := range samples {
		if s.lost {
			n++
		}
	}
	return float64(n) / float64(len(samples))
}

func ullages(samples []sample) (out []float64) {
	for _, s := range samples {
		if !math.IsNaN(s.ullage) {
			out = append(out, s.ullage)
		}
	}
	return out
}

func heights(samples []sample) (out []float64) {
	for _, s := range samples {
		if !math.IsNaN(s.height) {
			out = append(out, s.height)
		}
	}
	return out
}

// middle is the median; NaN of nothing.
func middle(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	x = slices.Clone(x)
	slices.Sort(x)
	n := len(x)
	return (x[(n-1)/2] + x[n/2]) / 2
}

// scatter is half the stretch that holds the middle 68 % of the values: the standard deviation of
// well-behaved ones, and deaf to a few wild ones.
func scatter(x []float64) float64 {
	if len(x) < 2 {
		return math.NaN()
	}
	x = slices.Clone(x)
	slices.Sort(x)
	n := float64(len(x) - 1)
	return (x[int(math.Round(.84*n))] - x[int(math.Round(.16*n))]) / 2
}

// jumpStep is how far a reading must stand off its neighbours to count as a jump; waves stay under it.
const jumpStep = 0.05

// jumpShare is the share of readings that stand off the median of the nine round them.
func jumpShare(x []float64) float64 {
	if len(x) < 9 {
		return 0
	}
	n := 0
	for i := range x {
		lo := min(max(0, i-4), len(x)-9)
		if math.Abs(x[i]-middle(x[lo:lo+9])) > jumpStep {
			n++
		}
	}
	return float64(n) / float64(len(x))
}

// pumpAt is the newest pump flag, -1 when none was sent.
func pumpAt(samples []sample) int8 {
	for i := len(samples) - 1; i >= 0; i-- {
		if samples[i].pump >= 0 {
			return samples[i].pump
		}
	}
	return -1
}

// switches counts changes of the pump flag.
func switches(samples []sample) (n int) {
	was := int8(-1)
	for _, s := range samples {
		if s.pump >= 0 && was >= 0 && s.pump != was {
			n++
		}
		if s.pump >= 0 {
			was = s.pump
		}
	}
	return n
}
