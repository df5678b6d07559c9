package diagnostics

import (
	"fmt"
	"math"

	"example.org/tankhand/livelevel/signal"
)

// runTrend asks whether the pump brings less from run to run: a strainer that clogs, a wheel that wears. The runs
// of the whole feed are kept as at most 48 points, neighbours taken together.
type runTrend struct {
	flows trail // of the net rise of each run, at its middle
	least float64
}

const (
	fewestRuns = 8
	runByLuck  = 1e-3
	runLeast   = 60.0 // s that a run must last to count
)

func (r *runTrend) add(run *fillRun, span float64) {
	if !math.IsNaN(run.fit.mid) && span >= runLeast {
		r.flows.add((run.from+run.to)/2, run.fit.mid)
	}
}

// runChange is what became of the flow over the runs.
type runChange struct {
	slope  slopeFit // m3/s a second, Theil-Sen
	left   float64  // flow after the most likely step, of the flow before it
	at     float64  // when it stepped
	p      float64  // that luck alone would do it: the lesser of step and trend, times two
	lost   float64  // flow, m3/s
	enough bool
}

// change looks for a step (Pettitt's test) and for a steady decline (Kendall's, as it goes with the Theil-Sen
// slope). More is drawn at some times than at others, so a loss no larger than that says nothing of the pump.
func (r *runTrend) change(drawn float64) (c runChange) {
	n := r.flows.n
	c = runChange{slope: slopeFit{math.NaN(), math.NaN(), math.NaN()}, left: math.NaN(), p: math.NaN(), at: math.NaN()}
	if n < fewestRuns {
		return c
	}
	t, y := r.flows.t[:n], r.flows.y[:n]
	var work [trailMost]float64
	step := signal.Pettitt(y, work[:])
	c.enough, c.slope = true, r.flows.slope()
	c.p = math.Min(1, 2*math.Min(step.P, kendall(y)))
	if step.After == 0 {
		c.left = 1
		return c
	}
	before := quickMedian(append(work[:0], y[:step.After]...)) + drawn
	after := quickMedian(append(work[:0], y[step.After:]...)) + drawn
	c.left, c.lost, c.at = after/before, before-after, t[step.After]
	return c
}

// kendall is the two-sided chance of so steady a trend among equals, by the normal approximation with the
// correction for continuity (Mann 1945, Kendall 1975).
func kendall(y []float64) float64 {
	s := 0.0
	for i := range y {
		for j := i + 1; j < len(y); j++ {
			switch {
			case y[j] > y[i]:
				s++
			case y[j] < y[i]:
				s--
			}
		}
	}
	n := float64(len(y))
	z := math.Max(0, math.Abs(s)-1) / math.Sqrt(n*(n-1)*(2*n+5)/18)
	return 2 * signal.GaussTail(z)
}

// weaker tells whether the pump brings less than it did: significant, more than a fifth, and more than the draw-off
// could take at one time and leave at another.
func (r *runTrend) weaker(c runChange, varies float64) bool {
	return c.enough && c.p < runByLuck && c.slope.high <= 0 && c.left < 1-r.least && c.lost*(1-r.least) > varies
}

// tellRuns adds to the finding what became of the flow from run to run.
func (w *fillWatch) tellRuns(f *Finding, now float64) {
	c := w.trend.change(w.drawn())
	perDay := slopeFit{c.slope.mid * 86400, c.slope.low * 86400, c.slope.high * 86400}
	if w.d.timed {
		perDay = w.s.flow(perDay)
	}
	f.Figures = append(f.Figures, Figure{"runs_m3_per_h_per_day", perDay.mid, "m3/h"}, Figure{"runs_low", perDay.low, "m3/h"},
		Figure{"runs_high", perDay.high, "m3/h"}, Figure{"runs_left", c.left, "%"})
	if !c.enough {
		if w.n > 0 {
			f.Why += fmt.Sprintf("; whether it fades from run to run cannot be told before %d runs of a minute", fewestRuns)
		}
		return
	}
	word := "alike"
	f.Why += fmt.Sprintf("; from run to run the flow changes by %s m3/h a day (%s to %s)", number(perDay.mid), number(perDay.low), number(perDay.high))
	if w.trend.weaker(c, w.d.draw.extra(1)) {
		word = "weaker"
		f.Why += fmt.Sprintf(", to %s of what it was", percent(c.left))
		f.Limit += fmt.Sprintf("; from run to run at most %s lost", percent(w.trend.least))
		if f.Verdict != Fail {
			f.Verdict, f.Episodes = Fail, nil
		}
		f.Episodes = append(f.Episodes, Episode{w.d.span(c.at, now), []Figure{{"runs_left", c.left, "%"}}})
	}
	f.Grades = append(f.Grades, Grade{"runs", word, w.d.at(w.from), duration(w.onTime)})
}
