package livelevel

import (
	"math"
	"time"
)

// Point is one bucket of a trend; lengths in metres, NaN where unknown.
type Point struct {
	At        time.Time // the beginning of the bucket
	Height    float64   // the last one in it
	Low, High float64   // least and greatest
	Ullage    float64   // the last one: all there is where no mounting height is known
	Pump      bool      // the pump was commanded on
	Restart   bool
	Dropout   bool // an echo was lost
}

// Window is the recent past, thinned into buckets of equal length so that its size is bounded
// whatever the rate of the feed. It is not safe for concurrent use.
type Window struct {
	width  time.Duration
	points []Point // ring
	head   int     // index of the newest
	n      int
}

// NewWindow keeps span in at most the given number of points (an hour in 720 is a point each 5 s).
func NewWindow(span time.Duration, points int) *Window {
	points = max(points, 1)
	return &Window{width: max(span/time.Duration(points), time.Millisecond), points: make([]Point, points)}
}

// Add takes a level; one without a time is left out.
func (w *Window) Add(l *Level) {
	if l.Reading.Time.IsZero() {
		return
	}
	at := l.Reading.Time.Truncate(w.width)
	if w.n == 0 || at.After(w.points[w.head].At) {
		w.open(at)
	}
	p := &w.points[w.head]
	if !math.IsNaN(l.Height) && l.How != Unknown {
		p.Height = l.Height
		p.Low, p.High = least(p.Low, l.Height), greatest(p.High, l.Height)
	}
	if !math.IsNaN(l.Ullage) && l.How != Unknown {
		p.Ullage = l.Ullage
	}
	if on, sent := l.Reading.On(Pump); sent && on {
		p.Pump = true
	}
	p.Restart = p.Restart || l.Reading.Kind == Restart
	p.Dropout = p.Dropout || l.Reading.EchoLost
}

// open begins a bucket; a stretch without levels takes no buckets.
func (w *Window) open(at time.Time) {
	if w.n > 0 {
		w.head = (w.head + 1) % len(w.points)
	}
	w.n = min(w.n+1, len(w.points))
	nan := math.NaN()
	w.points[w.head] = Point{At: at, Height: nan, Low: nan, High: nan, Ullage: nan}
}

// Trend returns the points, oldest first, none older than the span before the newest.
func (w *Window) Trend() []Point {
	if w.n == 0 {
		return nil
	}
	out := make([]Point, 0, w.n)
	oldest := w.points[w.head].At.Add(-w.width * time.Duration(len(w.points)))
	for i := range w.n {
		p := w.points[(w.head-w.n+1+i+len(w.points))%len(w.points)]
		if p.At.After(oldest) {
			out = append(out, p)
		}
	}
	return out
}

// Reset forgets everything.
func (w *Window) Reset() { w.n, w.head = 0, 0 }

func least(a, b float64) float64 {
	if math.IsNaN(a) {
		return b
	}
	return min(a, b)
}

func greatest(a, b float64) float64 {
	if math.IsNaN(a) {
		return b
	}
	return max(a, b)
}
