package diagnostics

import "math"

// A run of the pump is looked at in parts. Taps only take water, so the part that rises fastest is the nearest to
// what the pump brings; a run that loses its water shows it in the last parts.

const (
	partLeast = 60.0  // s
	partMost  = 600.0 // s
	lastly    = 420.0 // s of a run that tell how it stands now
	tapTime   = 300.0 // s after which another tap is another chance
)

// partPut adds a reading to the part, and ends it when the rise in it stands well above what waves and the
// display's step could make.
func (w *fillWatch) partPut(s *item) {
	w.part.put(s.t, s.u)
	tr := &w.part.trail
	span := tr.span()
	if tr.n < 4 || span < partLeast {
		return
	}
	if rise := math.Abs(tr.y[tr.n-1]-tr.y[0]) / w.part.area(); span >= partMost || rise >= 8*w.least() {
		w.partEnd()
	}
}

func (w *fillWatch) partEnd() {
	if f, weight := w.partFit(); weight > 0 {
		w.parts.add(f, weight)
		w.run.parts++
	}
	w.part.clear()
}

func (w *fillWatch) partFit() (slopeFit, float64) {
	if tr := &w.part.trail; tr.n >= 4 && tr.span() >= 10 {
		return tr.slope(), tr.span()
	}
	return slopeFit{mid: math.NaN()}, 0
}

// ownPart is the running part where it is long enough to stand beside whole ones; a short one only where it is
// all there is.
func (w *fillWatch) ownPart(others int) (slopeFit, float64) {
	f, weight := w.partFit()
	if others > 0 && weight < partLeast/2 {
		return slopeFit{mid: math.NaN()}, 0
	}
	return f, weight
}

// runFit is the rise of the present run where least was drawn.
func (w *fillWatch) runFit() slopeFit {
	f, weight := w.ownPart(w.run.parts)
	return w.parts.best(w.run.parts, f, weight)
}

// allFit is the same over all runs.
func (w *fillWatch) allFit() slopeFit {
	f, weight := slopeFit{mid: math.NaN()}, 0.0
	if w.on {
		f, weight = w.ownPart(w.parts.n)
	}
	return w.parts.best(len(w.parts.fit), f, weight)
}

// lately is the rise of the last minutes of the run where least was drawn, and how long they were.
func (w *fillWatch) lately() (fit slopeFit, span float64) {
	f, weight := w.ownPart(w.run.parts)
	span = weight
	k := 0
	for k < min(w.run.parts, len(w.parts.fit)) && span < lastly {
		k++
		span += w.parts.weight[(w.parts.n-k)%len(w.parts.weight)]
	}
	return w.parts.best(k, f, weight), span
}

// runKind tells a run that brought what it should from one that did not; "" where it was too short to tell.
func (w *fillWatch) runKind() string {
	best, run := w.runFit(), w.s.trail.span()
	switch part := (best.mid + w.drawn()) / w.healthy; {
	case math.IsNaN(part) || w.frozen():
		return ""
	case part >= w.slow:
		return "as-expected"
	case run >= slowSpan:
		return "slow"
	}
	return ""
}

// afterThis is the count of slow runs with the present one.
func (w *fillWatch) afterThis(kind string) slowRuns {
	r := w.slowRuns
	switch kind {
	case "as-expected":
		r.good, r.row = r.good+1, 0
	case "slow":
		r.row, r.even = r.row+1, w.even()
	}
	return r
}

// judgeRun counts the run that ends. The pump does not mend itself: what looked slow before a good run was
// drawn off.
func (w *fillWatch) judgeRun() {
	kind := w.runKind()
	if w.slowRuns = w.afterThis(kind); kind == "as-expected" {
		w.rise.forget(w.onTime+w.run.last-w.run.from, "slow")
	}
}

// even tells that the parts of the present run rise alike, but for a sixth of the healthy flow.
func (w *fillWatch) even() bool {
	f, weight := w.ownPart(w.run.parts)
	var l pieceList
	w.parts.each(w.run.parts, f, weight, l.take)
	return l.n > 1 && l.quantile(0.9).mid-l.quantile(0.1).mid < w.healthy/6
}

// drawn is what the pump has to bring beside the rise: what leaves at all times, as measured with the pump off;
// 0 while unknown or not to be told from none.
func (w *fillWatch) drawn() float64 {
	d := w.d.draw.steady()
	if !(d.high < 0) {
		return 0
	}
	if net := w.netNow(); net-d.mid > 1.2*w.healthy {
		return 0 // more than the pump can: what leaves the tank stops when it runs, as through a check valve
	}
	return -d.mid
}

// netNow is the rise of the present run, or of the runs before.
func (w *fillWatch) netNow() float64 {
	if f := w.runFit(); w.on && !math.IsNaN(f.mid) {
		return f.mid
	}
	return w.allFit().mid
}
