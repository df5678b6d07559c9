package diagnostics

import (
	"fmt"
	"math"

	"example.org/tankhand/livelevel/signal"
)

// Cluster is the part of the day into which most of the events fall.
type Cluster struct {
	From, To string // 22:10 and 05:40, by the feed's own clock
	In, Of   int    // events in it, and all
	P        float64
}

func (c *Cluster) String() string {
	return fmt.Sprintf("%d of %d between %s and %s", c.In, c.Of, c.From, c.To)
}

// dayCounts counts events by the time of day, and the chances for one. Its size does not depend on the feed's length.
type dayCounts struct {
	events, chances [slotsOfDay]float64
}

func (c *dayCounts) add(slot int16, events, chances float64) {
	if slot < 0 {
		return
	}
	c.events[slot] += events
	c.chances[slot] += chances
}

const (
	fewestClustered = 8
	longestCluster  = 8 * 60 / slotMinutes // slots
	mostByLuck      = 1e-3
	clusterShare    = 0.8
)

// cluster is the stretch of the day that holds most of the events, nil where they may as well be spread: the
// window of greatest likelihood ratio (the scan statistic of Kulldorff 1997, Communications in Statistics 26,
// 1481-1496), held significant when the binomial tail times the number of windows tried stays below one in a
// thousand (Bonferroni's bound). It must hold four of five events in at most half of the chances for one.
func (c *dayCounts) cluster() *Cluster {
	var n, all float64
	for i := range c.events {
		n += c.events[i]
		all += c.chances[i]
	}
	if n < fewestClustered || all <= 0 {
		return nil
	}
	best, at, length, tried := 0.0, -1, 0, 0
	for from := range slotsOfDay {
		in, open := 0.0, 0.0
		for l := 1; l <= longestCluster; l++ {
			in += c.events[(from+l-1)%slotsOfDay]
			open += c.chances[(from+l-1)%slotsOfDay]
			tried++
			if in < clusterShare*n || open > all/2 || c.events[from] == 0 {
				continue
			}
			if r := likelihoodRatio(in, n, open/all); r > best+1e-9 {
				best, at, length = r, from, l
			}
		}
	}
	if at < 0 {
		return nil
	}
	return c.judge(at, length, tried, n, all)
}

func (c *dayCounts) judge(at, length, tried int, n, all float64) *Cluster {
	in, open := 0.0, 0.0
	for l := range length {
		in += c.events[(at+l)%slotsOfDay]
		open += c.chances[(at+l)%slotsOfDay]
	}
	p := float64(tried) * signal.BinomialTail(int(in), int(n), open/all)
	if p > mostByLuck {
		return nil
	}
	return &Cluster{slotTime(at), slotTime(at + length), int(in), int(n), p}
}

// likelihoodRatio is the logarithm of how much better a window with its own rate explains k of n events than one
// rate for all, where p of the chances lie in it.
func likelihoodRatio(k, n, p float64) float64 {
	if k <= n*p {
		return 0
	}
	r := k * math.Log(k/(n*p))
	if k < n {
		r += (n - k) * math.Log((n-k)/(n*(1-p)))
	}
	return r
}

// tell adds where most of the events fall to a finding.
func (c *dayCounts) tell(f *Finding, of string) {
	m := c.cluster()
	if m == nil {
		return
	}
	f.Mostly = m
	f.Why += fmt.Sprintf("; %s: %s", of, m)
}
