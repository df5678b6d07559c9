package diagnostics

import "math"

// liveliness remembers of the last stretches whether the noise was well above the display's step: then
// equal readings are rare, and a reading that stands still to the last digit is frozen.
type liveliness struct {
	ring  [16]bool
	mixed [16]bool // fewer than two of five readings were equal to the one before
	n     int
}

func (l *liveliness) block(b *block, step float64) {
	if b.n < minBlock || b.same >= b.n-1 {
		return
	}
	l.ring[l.n%len(l.ring)] = b.spread >= math.Max(2*step, 3e-4) && 4*b.same < b.n
	l.mixed[l.n%len(l.mixed)] = 5*b.same < 2*b.n
	l.n++
}

// moved tells that equal readings were not the rule: sixty of them in a row come by chance at no noise that
// makes so few.
func (l *liveliness) moved() bool {
	n := 0
	k := min(l.n, len(l.mixed))
	for _, is := range l.mixed[:k] {
		if is {
			n++
		}
	}
	return k > 0 && 2*n >= k
}

func (l *liveliness) was() bool { return l.share(4) >= 0.8 }

// share of the lively stretches, 0 of fewer than least.
func (l *liveliness) share(least int) float64 {
	k, n := min(l.n, len(l.ring)), 0
	for _, is := range l.ring[:k] {
		if is {
			n++
		}
	}
	if k < least {
		return 0
	}
	return float64(n) / float64(k)
}

// healthyRise is the speed at which a well pump lifts the water, 0 where it is unknown or at the top.
func (d *digest) healthyRise(u float64) float64 {
	q, shape := d.sheet.Pump.HealthyFlow, d.sheet.Tank.Shape
	h := d.height(u)
	if !q.Known() || shape == nil || math.IsNaN(h) {
		return 0
	}
	if over := d.sheet.Tank.Overflow; over.Known() && h > over.V-0.01 {
		return 0
	}
	if a := shape.Area(h); a > 1e-4 {
		return q.V / a
	}
	return 0
}
