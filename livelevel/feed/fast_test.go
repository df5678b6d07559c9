package feed_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
)

// A board played a hundred times as fast as the clock through a pseudo-terminal: nothing is refused, the
// times follow the board's own, and no restart is seen where there was none.
func TestPortFasterThanTheClock(t *testing.T) {
	pair, err := port.Terminal()
	if err != nil {
		t.Skip(err)
	}
	defer pair.Close()
	const rate, n, every = 100, 300, 200 * time.Millisecond
	f := feed.Start(context.Background(), port.Serial(pair.Name(), 0, port.Options{ClockRate: rate}), feed.Options{})
	until(t, f, "opened", func(a []livelevel.Reading) bool { return count(a, livelevel.Opened) == 1 })
	go func() {
		start := time.Now()
		for i := range n {
			time.Sleep(time.Until(start.Add(time.Duration(i) * every / rate)))
			fmt.Fprintf(pair, "up=%d dist=%.1fcm level=%d%% pump=%d\n", 5000+i*200, 80+float64(i%7)/10, 60, i/50%2)
		}
	}()
	all := until(t, f, "all readings", func(a []livelevel.Reading) bool { return count(a, livelevel.Report) >= n })
	assert.Equal(t, n, count(all, livelevel.Report))
	assert.Zero(t, count(all, livelevel.Rejected))
	assert.Zero(t, count(all, livelevel.Restart))
	var first, last livelevel.Reading
	for _, r := range all {
		if r.Kind != livelevel.Report {
			continue
		}
		if first.Time.IsZero() {
			first = r
		}
		require.False(t, r.Time.Before(last.Time), "time goes forward")
		last = r
	}
	assert.Greater(t, last.Time.Sub(first.Time), n*every/2)
	require.NoError(t, f.Close())
}
