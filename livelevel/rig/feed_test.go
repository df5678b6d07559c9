package rig

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// seen is what a plain reader makes of a feed in the workshop-board dialect.
type seen struct {
	at                                float64 // s, when the line came
	distance, percent, volume, supply float64
	lowSet, fullSet, full, empty, air float64
	lost, pump, manual, button        bool
	demand                            bool
}

// feed is a stretch of feed, read.
type feed struct {
	lines    []seen
	restarts []float64
	causes   map[string]int
	rejected int
	bytes    int
}

// listen plays an installation for a time and reads what it sends, a tenth of a second at a time.
func listen(t testing.TB, i *Installation, d time.Duration) feed {
	t.Helper()
	f := feed{causes: map[string]int{}}
	var rest string
	for range int(d / (100 * time.Millisecond)) {
		data := i.Advance(100 * time.Millisecond)
		f.bytes += len(data)
		rest += string(data)
		for {
			line, more, ok := strings.Cut(rest, "\n")
			if !ok {
				break
			}
			rest = more
			f.take(i.now, strings.TrimRight(line, "\r"))
		}
	}
	return f
}

func (f *feed) take(at float64, line string) {
	switch {
	case line == "":
	case strings.Contains(line, "start-up"):
		f.restarts = append(f.restarts, at)
	case strings.HasPrefix(line, "reset cause: "):
		f.causes[line[13:]]++
	case strings.HasPrefix(line, "sensor ok"):
	default:
		s, ok := readProse(line)
		if !ok {
			f.rejected++
			return
		}
		s.at = at
		f.lines = append(f.lines, s)
	}
}

func readProse(line string) (seen, bool) {
	s := seen{}
	fields := map[string]string{}
	for _, part := range strings.Split(line, "  ") {
		k, v, ok := strings.Cut(part, ": ")
		if !ok {
			return s, false
		}
		fields[k] = v
	}
	bad := false
	number := func(name, unit string) float64 {
		v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(fields[name], unit)), 64)
		if err != nil {
			if !strings.HasPrefix(fields[name], "--") && fields[name] != "no echo" {
				bad = true
			}
			return math.NaN()
		}
		return v
	}
	s.distance = number("Distance", "cm") / 100
	s.lost = fields["Distance"] == "no echo"
	s.percent, s.volume, s.supply = number("Level", "%"), number("Volume", "l"), number("Supply", "V")
	s.lowSet, s.fullSet, s.air = number("Low set", "%"), number("Full set", "%"), number("Air", "C")
	s.full, s.empty = number("Full mark", "cm")/100, number("Empty mark", "cm")/100
	s.pump, s.manual = fields["Pump"] == "ON", fields["Mode"] == "MANUAL"
	s.button, s.demand = fields["Button"] == "1", fields["Demand"] == "1"
	return s, !bad
}

func rigged(t testing.TB, faults ...string) *Installation {
	t.Helper()
	o := Options{Seed: 7}
	for _, f := range faults {
		fault, err := ParseFault(f)
		require.NoError(t, err)
		o.Faults = append(o.Faults, fault)
	}
	i, err := New(o)
	require.NoError(t, err)
	return i
}

// plain statistics of a feed, none of them from the program's own checks.
type figures struct {
	lost, spikes, spread, starts, switches, onShare, rise, restarts float64
	first, last                                                     float64
}

func (f *feed) figures() figures {
	var g figures
	var heard []seen
	for k, s := range f.lines {
		if s.lost {
			g.lost++
		} else {
			heard = append(heard, s)
		}
		if s.pump {
			g.onShare++
		}
		if k > 0 && s.pump != f.lines[k-1].pump {
			g.switches++
			if s.pump {
				g.starts++
			}
		}
	}
	n := float64(max(len(f.lines), 1))
	g.lost, g.onShare, g.restarts = g.lost/n, g.onShare/n, float64(len(f.restarts))
	g.spread, g.spikes = scatter(heard)
	if len(heard) > 20 {
		g.first, g.last = middle(heard[:10]), middle(heard[len(heard)-10:])
		g.rise = (g.first - g.last) / (heard[len(heard)-1].at - heard[0].at) * 1000
	}
	return g
}

// scatter is the robust standard deviation about a running median of 21, and the share beyond 5 cm of it.
func scatter(s []seen) (spread, spikes float64) {
	var off []float64
	for k := 10; k < len(s)-10; k++ {
		off = append(off, math.Abs(s[k].distance-middle(s[k-10:k+11])))
	}
	if len(off) == 0 {
		return 0, 0
	}
	for _, o := range off {
		if o > 0.05 {
			spikes++
		}
	}
	slices.Sort(off)
	return 1.4826 * off[len(off)/2], spikes / float64(len(off))
}

func middle(s []seen) float64 {
	d := make([]float64, len(s))
	for k := range s {
		d[k] = s[k].distance
	}
	slices.Sort(d)
	return d[len(d)/2]
}
