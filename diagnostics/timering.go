package diagnostics

// timeRing keeps the last times of an event, bounded, and the most that fell into any hour.
type timeRing struct {
	t     [2048]float64
	n     int // all there ever were
	tail  int // first one within an hour of the last
	worst int
}

func (r *timeRing) at(i int) float64 { return r.t[i%len(r.t)] }

func (r *timeRing) add(t float64) {
	r.t[r.n%len(r.t)] = t
	r.n++
	r.tail = max(r.tail, r.n-len(r.t))
	for r.at(r.tail) <= t-3600 {
		r.tail++
	}
	r.worst = max(r.worst, r.n-r.tail)
}

// within counts the events of the last so many seconds.
func (r *timeRing) within(t, last float64) int {
	n := 0
	for i := r.n - 1; i >= 0 && i >= r.n-len(r.t) && r.at(i) > t-last; i-- {
		n++
	}
	return n
}
