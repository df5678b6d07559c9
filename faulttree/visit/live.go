package visit

import (
	"errors"
	"fmt"
	"io"
	"math"
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/feed"
)

const (
	recentReadings = 32
	// silentAfter is when a feed that spoke counts as silent: boards that report every ten seconds
	// are healthy, so it is also at least three of their usual gaps.
	silentAfter = 5 * time.Second
)

// liveFeed is what a screen says of the feed itself: its health, its pace, the pump's state.
type liveFeed struct {
	stats   feed.Stats
	raw     []string
	recent  [recentReadings]livelevel.Reading // ring of the last reports
	dialect dialect.Dialect
	settled bool
	columns []dialect.Column
	trouble string // of the raw capture

	state   FeedState
	why     string
	began   time.Time // anything, silence too
	first   time.Time // report
	last    time.Time // report
	now     time.Time
	usual   time.Duration // between reports, smoothed
	lostAt  time.Time
	decoded int64

	pump      bool
	pumpSeen  bool
	pumpSince time.Time
	pumpNew   bool    // the board started anew, or nobody listened: how long the pump is as it is counts from here
	starts    int     // of the pump, since the feed began
	runVolume float64 // at the start of this run of the pump
	runFlow   float64
}

// rawLines are shown on the teach-in.
const rawLines = 16

// keepRaw adds the lines of a batch; one without lines, as while a board starts, leaves the last ones there.
// A snapshot may still hold the old slice.
func (f *liveFeed) keepRaw(lines []string) {
	if len(lines) == 0 {
		return
	}
	all := append(append([]string(nil), f.raw...), lines...)
	f.raw = all[max(0, len(all)-rawLines):]
}

func newLiveFeed() liveFeed {
	return liveFeed{state: Waiting, runVolume: math.NaN(), runFlow: math.NaN()}
}

// add takes the next level.
func (f *liveFeed) add(l *livelevel.Level) {
	r := &l.Reading
	if !r.Time.IsZero() {
		f.now = r.Time
		if f.began.IsZero() {
			f.began = r.Time
		}
	}
	switch r.Kind {
	case livelevel.Report:
		f.report(l)
	case livelevel.Rejected:
		if f.decoded == 0 {
			f.state, f.why = Learning, "lines come, but none is understood yet: "+r.Text
		}
	case livelevel.Restart:
		f.pumpNew = true
	case livelevel.Tick:
		f.tick()
	case livelevel.Lost:
		f.state, f.lostAt = Gone, r.Time
		f.why = "the port went away at " + r.Time.Format("15:04:05") + "; trying to open it again"
	case livelevel.Back:
		f.state, f.why, f.pumpNew = Waiting, "the port is back", true
	case livelevel.Refused:
		f.state, f.why = Refused, r.Text
		if f.stats.Refusal != "" {
			f.why = f.stats.Refusal
		}
	}
}

func (f *liveFeed) report(l *livelevel.Level) {
	r := &l.Reading
	f.decoded++
	f.state, f.why = Good, ""
	if f.first.IsZero() {
		f.first = r.Time
	}
	if gap := r.Time.Sub(f.last); !f.last.IsZero() && gap > 0 {
		if f.usual == 0 {
			f.usual = gap
		}
		f.usual += (gap - f.usual) / 16
	}
	f.last = r.Time
	f.recent[(f.decoded-1)%recentReadings] = *r
	if on, sent := r.On(livelevel.Pump); sent {
		f.pumpNow(on, l)
	}
}

// pumpNow follows the pump's runs; the flow of a run is what the volume gained in it.
func (f *liveFeed) pumpNow(on bool, l *livelevel.Level) {
	if !f.pumpSeen || on != f.pump || f.pumpNew {
		if on && f.pumpSeen && !f.pump {
			f.starts++
		}
		f.pumpSeen, f.pumpNew, f.pump, f.pumpSince = true, false, on, l.Reading.Time
		f.runVolume, f.runFlow = l.Volume, math.NaN()
		return
	}
	if run := l.Reading.Time.Sub(f.pumpSince).Seconds(); on && run >= 10 {
		f.runFlow = (l.Volume - f.runVolume) / run
	}
}

func (f *liveFeed) tick() {
	limit := max(silentAfter, 3*f.usual)
	if quiet := f.now.Sub(f.last); f.state == Good && quiet > limit {
		f.state = Silent
	}
	if f.state == Silent {
		f.why = fmt.Sprintf("nothing for %.0f s; a line came every %.1f s before", f.now.Sub(f.last).Seconds(), f.usual.Seconds())
	}
}

// over is the end of the feed.
func (f *liveFeed) over(why error) {
	if f.state == Refused {
		return
	}
	f.state, f.why = Over, "the end of the log"
	if !errors.Is(why, io.EOF) {
		f.why = why.Error()
	}
}

// runs is how long the feed has brought readings.
func (f *liveFeed) runs(now time.Time) time.Duration {
	if f.first.IsZero() {
		return 0
	}
	return now.Sub(f.first)
}

// fill writes the feed's part of a snapshot.
func (f *liveFeed) fill(s *Snapshot) {
	s.Feed, s.State, s.Why, s.Dialect, s.Settled = f.stats, f.state, f.why, f.dialect, f.settled
	s.Columns = f.columns
	s.Raw, s.Recent = f.raw, f.newest()
	if !f.began.IsZero() {
		s.Listened = f.now.Sub(f.began)
	}
	if f.usual > 0 {
		s.RateHz = 1 / f.usual.Seconds()
	}
	s.PumpOn, s.PumpSeen, s.RunFlow = f.pump, f.pumpSeen, f.runFlow
	if f.pumpSeen {
		s.PumpFor = f.now.Sub(f.pumpSince)
	}
}

// newest are the last reports, newest last.
func (f *liveFeed) newest() []livelevel.Reading {
	n := min(f.decoded, recentReadings)
	out := make([]livelevel.Reading, 0, n)
	for i := f.decoded - n; i < f.decoded; i++ {
		out = append(out, f.recent[i%recentReadings])
	}
	return out
}
