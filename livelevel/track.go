package livelevel

// fading is a straight line fitted to samples whose weight fades with age. Times count backwards from
// now, so the sums stay small however long the feed. Other than a plain average it does not lag behind
// a steady fill, and it takes samples at any spacing.
type fading struct {
	s0, s1, s2 float64 // sums of weight, weight*time, weight*time^2
	y0, y1     float64 // sums of weight*value, weight*time*value
	q0, q1, q2 float64 // the first three with squared weights, for the variance
}

// age moves now on by dt; what was there keeps the given share of its weight.
func (f *fading) age(dt, keep float64) {
	k2 := keep * keep
	f.s2 = keep * (f.s2 - dt*(2*f.s1-dt*f.s0))
	f.s1 = keep * (f.s1 - dt*f.s0)
	f.s0 *= keep
	f.y1 = keep * (f.y1 - dt*f.y0)
	f.y0 *= keep
	f.q2 = k2 * (f.q2 - dt*(2*f.q1-dt*f.q0))
	f.q1 = k2 * (f.q1 - dt*f.q0)
	f.q0 *= k2
}

// add takes a sample at now.
func (f *fading) add(y float64) {
	f.s0++
	f.q0++
	f.y0 += y
}

// forget takes weight from what was there, so that the newest samples decide.
func (f *fading) forget(keep float64) {
	k2 := keep * keep
	f.s0, f.s1, f.s2, f.y0, f.y1 = f.s0*keep, f.s1*keep, f.s2*keep, f.y0*keep, f.y1*keep
	f.q0, f.q1, f.q2 = f.q0*k2, f.q1*k2, f.q2*k2
}

// solve returns value and slope at now. The ridge holds the slope near zero until the samples span
// enough time to say better.
func (f *fading) solve(ridge float64) (value, slope float64) {
	s2 := f.s2 + ridge
	det := f.s0*s2 - f.s1*f.s1
	return (s2*f.y0 - f.s1*f.y1) / det, (f.s0*f.y1 - f.s1*f.y0) / det
}

// variances are those of value and slope for samples of unit variance.
func (f *fading) variances(ridge float64) (value, slope float64) {
	s2 := f.s2 + ridge
	det := f.s0*s2 - f.s1*f.s1
	d2 := det * det
	value = (s2*s2*f.q0 - 2*s2*f.s1*f.q1 + f.s1*f.s1*f.q2) / d2
	slope = (f.s0*f.s0*f.q2 - 2*f.s0*f.s1*f.q1 + f.s1*f.s1*f.q0) / d2
	return value, max(slope, 0)
}

// track follows one population of readings.
type track struct {
	fit    fading
	at     float64 // seconds at which value holds
	value  float64
	slope  float64
	hits   int
	since  int     // hits since it became the second one
	weight float64 // hits, fading over about a hundred readings
	lo, hi float64 // of value since it was last marked
}

// slopePrior is how fast water is thought to move before the samples say: m/s, one standard deviation.
const slopePrior = 0.02

func ridgeFor(sigma float64) float64 {
	r := sigma / slopePrior
	return r*r + 1e-9
}

// predict is where the track stands at a time.
func (k *track) predict(now float64) float64 { return k.value + k.slope*(now-k.at) }

// add takes a reading that belongs to this track. memory is the fading time.
func (k *track) add(now, y, memory, sigma float64) {
	if dt := now - k.at; k.hits > 0 && dt > 0 {
		k.fit.age(dt, fade(dt/memory))
	}
	k.fit.add(y)
	k.at = now
	k.value, k.slope = k.fit.solve(ridgeFor(sigma))
	k.hits++
	k.weight++
	if k.hits == 1 {
		k.lo, k.hi = k.value, k.value
	}
	k.lo, k.hi = min(k.lo, k.value), max(k.hi, k.value)
}

// fade is the weight that is left after so many memories: nearly exp(-x), at a third of its cost.
func fade(x float64) float64 { return 1 / (1 + x*(1+x*(0.5+x/6))) }

// mark begins to watch anew how far the track moves.
func (k *track) mark() { k.lo, k.hi = k.value, k.value }

func (k *track) moved() float64 { return k.hi - k.lo }
