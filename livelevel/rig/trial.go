package rig

import (
	"math"
	"math/rand/v2"
	"slices"
)

// trial is what is seen while a copy of the installation is played on: the way a prompted probe is answered
// without touching the installation itself.
type trial struct {
	reports, lost int
	distances     []float64 // of the reports with an echo
	percents      []float64
	volumes       []float64
	switches      int
	restarts      int
	ran           float64 // s in which the program ran
	lasted        float64
	flowed        float64 // m3
	rise          float64 // m/s of the true level
	pump          bool
}

func (t *trial) note(r *report) {
	t.reports++
	if t.reports > 1 && r.pump != t.pump {
		t.switches++
	}
	t.pump = r.pump
	if math.IsNaN(r.distance) {
		t.lost++
		return
	}
	t.distances = append(t.distances, r.distance)
	t.percents = append(t.percents, r.percent)
	t.volumes = append(t.volumes, r.volume)
}

// copied is an independent copy that goes on as the installation itself would.
func (i *Installation) copied() *Installation {
	c := *i
	c.faults, c.tests, c.out, c.watch = slices.Clone(i.faults), slices.Clone(i.tests), nil, nil
	c.rng = rand.New(&c.pcg)
	return &c
}

// play runs a copy for some seconds and reports what was seen. The copy is used up.
func (i *Installation) play(seconds float64) trial {
	t := trial{lasted: seconds}
	i.watch = &t
	level, boots := i.water.level, i.board.boots
	for range int(math.Round(seconds / step)) {
		i.out = i.out[:0]
		i.tick()
		if i.booted() && !i.board.hung && i.board.stalled == 0 {
			t.ran += step
		}
		t.flowed += i.pump.flow * step
	}
	i.watch = nil
	t.restarts = i.board.boots - boots
	t.rise = (i.water.level - level) / seconds
	return t
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}

func (t *trial) lostShare() float64 {
	if t.reports == 0 {
		return 1
	}
	return float64(t.lost) / float64(t.reports)
}

// jumpShare is the share of echoes more than 4 cm from the median of the seven about them.
func (t *trial) jumpShare() float64 {
	n, d := 0, t.distances
	for k := range d {
		from, to := max(k-3, 0), min(k+4, len(d))
		if math.Abs(d[k]-median(d[from:to])) > 0.04 {
			n++
		}
	}
	return float64(n) / float64(max(len(d), 1))
}

// rough is the robust spread of the steps between reports.
func (t *trial) rough() float64 {
	var off []float64
	for k := 1; k < len(t.distances); k++ {
		off = append(off, math.Abs(t.distances[k]-t.distances[k-1]))
	}
	return median(off)
}

// troubles is what is wrong in a stretch of feed, as bits; a technician who watches sees the same.
func (i *Installation) troubles(t *trial) int {
	bits := 0
	for k, bad := range []bool{
		t.lostShare() > 0.03, t.jumpShare() > 0.015, t.rough() > 0.008, t.switches >= 2 && float64(t.switches) >= t.lasted/150,
		t.restarts > 0, float64(t.reports) < 0.5*t.lasted/i.cond.pingEvery, t.rise > 0.05e-3 && !i.board.called,
	} {
		if bad {
			bits |= 1 << k
		}
	}
	return bits
}

// provoke switches the pump by hand, so that what comes with switching shows; it ends on or off as asked.
func (i *Installation) provoke(on bool) {
	for _, on := range []bool{!on, on} {
		if i.booted() && !i.board.manual && !i.board.hung && i.waits() == 0 {
			i.command(on)
		}
		i.play(0.1)
	}
}

// seenTroubles switches the pump and watches.
func (i *Installation) seenTroubles(on bool, settle, watch float64) int {
	boots := i.board.boots
	i.provoke(on)
	i.play(settle)
	t := i.play(watch)
	t.restarts = i.board.boots - boots
	return i.troubles(&t)
}

// relieved tells whether the trouble there is now stops while something is done; settle seconds pass first. Where
// there is none as it stands, the pump is started to bring it on.
func (i *Installation) relieved(id string, settle, watch float64) bool {
	on := i.board.called
	bits := i.copied().seenTroubles(on, 0, watch)
	if bits == 0 && !on {
		on = true
		bits = i.copied().seenTroubles(on, 0, watch)
	}
	after := i.copied()
	if err := after.Do(id); err != nil || bits == 0 {
		return false
	}
	return after.seenTroubles(on, settle, watch)&bits == 0
}
