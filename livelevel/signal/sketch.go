package signal

import (
	"cmp"
	"math"
	"slices"
)

// Sketch keeps the quantiles of a stream of any length in a few kilobytes: samples are merged into
// clusters that are smallest at the ends, so the extremes stay exact (the t-digest method; Software
// Impacts 7:100049, 2021). The zero value is ready to use. Values that are not finite are left out.
type Sketch struct {
	clusters   []cluster // ascending, merged
	fresh      []cluster // not yet merged
	n          float64
	least, top float64
}

type cluster struct{ mean, weight float64 }

const (
	sketchSize  = 200 // compression: about this many clusters at most
	sketchFresh = 400
)

// Add takes the next sample.
func (s *Sketch) Add(x float64) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return
	}
	if s.n == 0 {
		s.least, s.top = x, x
	}
	s.least, s.top = min(s.least, x), max(s.top, x)
	s.n++
	if s.fresh == nil {
		s.fresh = make([]cluster, 0, sketchFresh+2*sketchSize)
	}
	s.fresh = append(s.fresh, cluster{x, 1})
	if len(s.fresh) >= sketchFresh {
		s.merge()
	}
}

// N is how many samples were taken.
func (s *Sketch) N() int64 { return int64(s.n) }

// merge sorts the fresh samples among the clusters and joins neighbours as far as the size limit of
// their place allows.
func (s *Sketch) merge() {
	if len(s.fresh) == 0 {
		return
	}
	all := append(s.fresh, s.clusters...)
	slices.SortFunc(all, func(a, b cluster) int { return cmp.Compare(a.mean, b.mean) })
	out := s.clusters[:0]
	if cap(out) < 2*sketchSize {
		out = make([]cluster, 0, 2*sketchSize)
	}
	done, current := 0.0, all[0]
	limit := s.n * place(0, 1)
	for _, c := range all[1:] {
		if done+current.weight+c.weight <= limit {
			current.weight += c.weight
			current.mean += (c.mean - current.mean) * c.weight / current.weight
			continue
		}
		out = append(out, current)
		done += current.weight
		limit = s.n * place(done/s.n, 1)
		current = c
	}
	s.clusters = append(out, current)
	s.fresh = s.fresh[:0]
}

// place is the quantile one step of the arcsine scale beyond q: narrow at the ends, wide in the middle.
func place(q, steps float64) float64 {
	const half = math.Pi / 2
	k := math.Asin(min(1, max(-1, 2*q-1))) + steps*2*math.Pi/sketchSize
	if k >= half {
		return 1
	}
	return (math.Sin(k) + 1) / 2
}

// Quantile returns the p-quantile so far; NaN without samples.
func (s *Sketch) Quantile(p float64) float64 {
	if s.n == 0 || math.IsNaN(p) {
		return math.NaN()
	}
	s.merge()
	want := min(max(p, 0), 1) * s.n
	at, from, value := 0.0, 0.0, s.least
	for _, c := range s.clusters {
		middle := at + c.weight/2
		if want < middle {
			return between(value, c.mean, (want-from)/(middle-from))
		}
		at += c.weight
		from, value = middle, c.mean
	}
	return between(value, s.top, (want-from)/max(s.n-from, 1e-300))
}

func between(a, b, f float64) float64 { return a + (b-a)*min(max(f, 0), 1) }

// Median is the median so far.
func (s *Sketch) Median() float64 { return s.Quantile(0.5) }

// HalfSpread is half the 16 % to 84 % range: a robust standard deviation.
func (s *Sketch) HalfSpread() float64 {
	return (s.Quantile(0.841344746) - s.Quantile(0.158655254)) / 2
}
