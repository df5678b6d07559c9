package port

import (
	"math"
	"sync"
	"time"
)

// Options are what the openers have in common. The zero value is a plain port by the world's clock.
type Options struct {
	// ClockRate runs the port's clock that many times as fast as the world's. On a live port it only
	// scales the arrival times (a board that is simulated faster than the clock); a capture is replayed
	// at that pace. Zero: live ports by the clock, captures and logs at once. See AtOnce.
	ClockRate float64
	// Format is "8N1" (the default), "7E1" and so on: data bits, parity N, E, O, M or S, stop bits.
	Format string
	// Follow keeps a file open at its end for what another program still writes to it. A raw log is
	// taken up at its end, because its old lines have no arrival time; a capture from its start.
	Follow bool
	// KeepLines leaves DTR and RTS raised; some boards with USB of their own are mute without.
	KeepLines bool
}

// AtOnce is the clock rate "max": nothing waits.
var AtOnce = math.Inf(1)

// BaudAuto as a rate: try the usual rates and formats until the bytes make sense.
const BaudAuto = -1

// silence is how long Next waits for bytes, by the world's clock.
const silence = 250 * time.Millisecond

// clock gives arrival times: the start plus what has passed, times the rate. It goes on over a loss,
// and steps of the wall clock do not touch it. The hours that the machine slept have passed as well.
type clock struct {
	mu     sync.Mutex
	rate   float64
	passed func() time.Duration // since some fixed moment
	from   time.Duration
	start  time.Time
}

func newClock(rate float64) *clock {
	if rate <= 0 || math.IsInf(rate, 1) || math.IsNaN(rate) {
		rate = 1
	}
	return &clock{rate: rate, passed: sinceBoot}
}

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	n := c.passed()
	if c.start.IsZero() {
		c.from, c.start = n, time.Now().Round(0)
	}
	return c.start.Add(time.Duration(float64(n-c.from) * c.rate))
}

// loaded is when the program was loaded, with its monotonic reading.
var loaded = time.Now()

// patience is how long to wait before silence is reported: shorter when the clock runs fast.
func (c *clock) patience() time.Duration {
	return max(time.Duration(float64(silence)/max(1, c.rate)), 5*time.Millisecond)
}
