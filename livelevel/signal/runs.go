package signal

// Runs counts runs of a condition in a stream: how many, the longest, and the present one. The zero
// value is ready to use.
type Runs struct {
	N       int64 // samples seen
	Hits    int64 // samples where it held
	Count   int64 // runs begun
	Longest int64 // samples of the longest run
	Current int64 // samples of the present run, 0 when it does not hold
}

// Add takes the next sample.
func (r *Runs) Add(holds bool) {
	r.N++
	if !holds {
		r.Current = 0
		return
	}
	r.Hits++
	if r.Current == 0 {
		r.Count++
	}
	r.Current++
	r.Longest = max(r.Longest, r.Current)
}

// RunLengths returns the lengths of the runs of true in x, in their order.
func RunLengths(x []bool) []int {
	var out []int
	n := 0
	for _, v := range x {
		if v {
			n++
			continue
		}
		if n > 0 {
			out = append(out, n)
		}
		n = 0
	}
	if n > 0 {
		out = append(out, n)
	}
	return out
}
