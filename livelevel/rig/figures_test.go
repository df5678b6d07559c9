package rig

import (
	"math"
	"slices"
)

// plain works out the figures by which a lesson says what is there in the bytes: counts, medians, slopes; none of
// the program's own checks.
func (f *feed) plain(i *Installation, listened float64) map[string]float64 {
	g := f.figures()
	out := map[string]float64{
		"lines": float64(len(f.lines)), "bytes": float64(f.bytes), "rejected": float64(f.rejected), "lost": g.lost, "spikes": g.spikes,
		"spread": g.spread, "starts": g.starts, "switches": g.switches, "on": g.onShare, "restarts": g.restarts,
		"power-restarts": float64(f.causes["brown-out"] + f.causes["power-on"]), "program-restarts": float64(f.causes["watchdog"]),
		"port-restarts": float64(f.causes["external"]),
	}
	if len(f.lines) == 0 {
		out["quiet-for"] = listened
		return out
	}
	out["quiet-for"] = listened - f.lines[len(f.lines)-1].at
	f.settings(out)
	f.motion(out)
	out["off"] = median(lastHeard(f.lines, 21)) - i.ullage()
	out["same-for"] = f.longestSame()
	out["farther"], out["nearer"] = f.astray()
	return out
}

// lastHeard are the last n distances.
func lastHeard(lines []seen, n int) []float64 {
	var d []float64
	for k := len(lines) - 1; k >= 0 && len(d) < n; k-- {
		if !lines[k].lost {
			d = append(d, lines[k].distance)
		}
	}
	return d
}

func (f *feed) median(of func(seen) float64) float64 {
	var v []float64
	for _, s := range f.lines[len(f.lines)*9/10:] {
		if x := of(s); !math.IsNaN(x) {
			v = append(v, x)
		}
	}
	return median(v)
}

// settings are what the controller says of itself, and percent and volume against the distance on the same line.
func (f *feed) settings(out map[string]float64) {
	last := f.lines[len(f.lines)-1]
	out["low-set"], out["full-set"], out["full-mark"], out["empty-mark"] = last.lowSet, last.fullSet, last.full, last.empty
	out["percent-off"] = f.median(func(s seen) float64 { return s.percent - 100*(emptyMark-s.distance)/(emptyMark-fullMark) })
	tank, _ := newVessel("")
	out["volume-ratio"] = f.median(func(s seen) float64 { return s.volume / 1000 / tank.volume(faceHeight-s.distance) })
	blank, edges, manual, lowest := 0.0, 0.0, 0.0, math.Inf(1)
	var held float64
	for k, s := range f.lines {
		if math.IsNaN(s.full) {
			blank++
		}
		if k > 0 && (s.button != f.lines[k-1].button || s.demand != f.lines[k-1].demand) {
			edges++
		}
		if s.button {
			held++
		}
		if s.manual {
			manual++
		}
		lowest = math.Min(lowest, s.supply)
	}
	n := float64(len(f.lines))
	out["blank-marks"], out["edges"], out["held"], out["manual"], out["lowest-supply"] = blank/n, edges, held/n, manual/n, lowest
}

// motion is the rise of the water in mm a minute while the pump is commanded and while it is not, by medians of
// the ends of the longest such stretch.
func (f *feed) motion(out map[string]float64) {
	for _, on := range []bool{true, false} {
		name := map[bool]string{true: "rise-on", false: "rise-off"}[on]
		var best, run []seen
		for _, s := range f.lines {
			if s.lost {
				continue
			}
			if s.pump == on {
				run = append(run, s)
			} else {
				run = nil
			}
			if len(run) > len(best) {
				best = run
			}
		}
		if len(best) < 200 {
			continue
		}
		n := len(best) / 8
		first, last := best[n:2*n], best[len(best)-n:]
		out[name] = (middle(first) - middle(last)) * 60000 / (last[n/2].at - first[n/2].at)
		early := best[2*n : 3*n]
		out[name+"-early"] = (middle(first) - middle(early)) * 60000 / (early[n/2].at - first[n/2].at)
	}
}

// longestSame is for how long the distance stood within 4 mm of where it was, lost echoes left out.
func (f *feed) longestSame() float64 {
	longest, from := 0.0, -1
	for k, s := range f.lines {
		if s.lost {
			continue
		}
		if from < 0 || math.Abs(s.distance-f.lines[from].distance) > 0.0005 {
			from = k
		}
		longest = math.Max(longest, s.at-f.lines[from].at)
	}
	return longest
}

// astray are the shares of echoes more than 8 cm farther and nearer than the upper quartile says: second populations.
func (f *feed) astray() (farther, nearer float64) {
	var d []float64
	for _, s := range f.lines {
		if !s.lost {
			d = append(d, s.distance)
		}
	}
	if len(d) == 0 {
		return 0, 0
	}
	sorted := slices.Clone(d)
	slices.Sort(sorted)
	mid := sorted[len(sorted)/2]
	for _, x := range d {
		if x > mid+0.08 {
			farther++
		} else if x < mid-0.08 {
			nearer++
		}
	}
	return farther / float64(len(d)), nearer / float64(len(d))
}
