package port

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// The arrival clock goes by what has passed: an hour with the lid shut is an hour, and no step of the
// wall clock, which is read once, can reach it.
func TestArrivalClock(t *testing.T) {
	passed := 5 * time.Hour
	c := newClock(1)
	c.passed = func() time.Duration { return passed }
	first := c.now()
	for _, step := range []time.Duration{0, time.Millisecond, time.Hour /* suspended */, time.Second} {
		passed += step
		assert.Equal(t, first.Add(passed-5*time.Hour), c.now())
	}
	fast := newClock(60)
	fast.passed = c.passed
	first = fast.now()
	passed += time.Second
	assert.Equal(t, time.Minute, fast.now().Sub(first))
}

func TestSinceBootGoesOn(t *testing.T) {
	a := sinceBoot()
	time.Sleep(20 * time.Millisecond)
	d := sinceBoot() - a
	assert.GreaterOrEqual(t, d, 20*time.Millisecond)
	assert.Less(t, d, time.Minute)
}
