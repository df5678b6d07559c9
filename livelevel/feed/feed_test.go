package feed_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
)

// line is the i-th report of an invented controller.
func line(i int) string {
	d := 80 + 40*math.Sin(float64(i)/30)
	return fmt.Sprintf("Distance: %.1f cm  Level: %.0f %%  Pump: %s\r\n", d, 100*(170-d)/135, []string{"OFF", "ON"}[i/40%2])
}

func lines(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(line(i))
	}
	return b.String()
}

// drain reads a feed to its end.
func drain(t *testing.T, f *feed.Feed) (all []livelevel.Reading, last feed.Batch) {
	t.Helper()
	stop := time.After(10 * time.Second)
	for {
		select {
		case b, ok := <-f.Batches():
			if !ok {
				return all, last
			}
			all = append(all, b.Readings...)
			last = b
		case <-stop:
			t.Fatal("the feed does not end")
		}
	}
}

// until reads a feed until the predicate holds.
func until(t *testing.T, f *feed.Feed, what string, ok func([]livelevel.Reading) bool) []livelevel.Reading {
	t.Helper()
	var all []livelevel.Reading
	stop := time.After(10 * time.Second)
	for {
		select {
		case b, open := <-f.Batches():
			require.True(t, open, "the feed ended before: "+what)
			all = append(all, b.Readings...)
			if ok(all) {
				return all
			}
		case <-stop:
			t.Fatal("waited in vain for: " + what)
		}
	}
}

func count(all []livelevel.Reading, k livelevel.Kind) (n int) {
	for _, r := range all {
		if r.Kind == k {
			n++
		}
	}
	return n
}

func TestLogIsLearnedAndDecoded(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.txt")
	require.NoError(t, os.WriteFile(path, []byte(lines(300)), 0o600))
	f := feed.Start(context.Background(), port.File(path, port.Options{}), feed.Options{Lossless: true, Interval: time.Second})
	all, last := drain(t, f)
	assert.Equal(t, 300, count(all, livelevel.Report))
	assert.Equal(t, 0, count(all, livelevel.Rejected))
	assert.ErrorIs(t, last.End, io.EOF)
	assert.Equal(t, int64(300), last.Stats.Readings)
	assert.Equal(t, livelevel.ByInterval, last.Stats.Times)
	assert.Equal(t, 299*time.Second, last.Stats.To.Sub(last.Stats.From))
	_, sure, settled := f.Dialect()
	assert.True(t, settled)
	assert.Greater(t, sure, 0.85)
}

func TestNoSuchFile(t *testing.T) {
	f := feed.Start(context.Background(), port.File(filepath.Join(t.TempDir(), "none"), port.Options{}), feed.Options{})
	all, last := drain(t, f)
	require.Equal(t, 1, count(all, livelevel.Refused))
	assert.Equal(t, "no-port", all[0].Text)
	assert.ErrorIs(t, last.End, port.ErrNoPort)
}

func TestUnplugAndBack(t *testing.T) {
	pair, err := port.Terminal()
	if errors.Is(err, errors.ErrUnsupported) {
		t.Skip(err)
	}
	require.NoError(t, err)
	dir := t.TempDir()
	name := filepath.Join(dir, "tty")
	require.NoError(t, os.Symlink(pair.Name(), name))
	f := feed.Start(context.Background(), port.Serial(name, 9600, port.Options{}), feed.Options{Capture: dir})
	until(t, f, "opened", func(a []livelevel.Reading) bool { return count(a, livelevel.Opened) == 1 })
	_, err = pair.Write([]byte("rst: power-on, booting\r\n" + lines(40)))
	require.NoError(t, err)
	all := until(t, f, "readings", func(a []livelevel.Reading) bool { return count(a, livelevel.Report) >= 40 })
	require.Equal(t, 1, count(all, livelevel.Restart))
	for _, r := range all {
		assert.Equal(t, r.Kind == livelevel.Restart, r.Ours, "the restart followed our own opening")
	}
	require.NoError(t, pair.Close())
	until(t, f, "lost", func(a []livelevel.Reading) bool { return count(a, livelevel.Lost) == 1 })
	again, err := port.Terminal()
	require.NoError(t, err)
	defer again.Close()
	require.NoError(t, os.Remove(name))
	require.NoError(t, os.Symlink(again.Name(), name))
	until(t, f, "back", func(a []livelevel.Reading) bool { return count(a, livelevel.Back) == 1 })
	_, err = again.Write([]byte(lines(5)))
	require.NoError(t, err)
	until(t, f, "readings after", func(a []livelevel.Reading) bool { return count(a, livelevel.Report) >= 5 })
	cite, err := f.Sync()
	require.NoError(t, err)
	data, err := os.ReadFile(cite.Path)
	require.NoError(t, err)
	assert.GreaterOrEqual(t, int64(len(data)), cite.Length)
	assert.Equal(t, sum(data[:cite.Length]), cite.SHA256)
	fi, err := os.Stat(cite.Path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), fi.Mode().Perm())
	require.NoError(t, f.Close())
	_, last := drain(t, f)
	assert.ErrorIs(t, last.End, port.ErrClosed)

	replay := feed.Start(context.Background(), port.File(cite.Path, port.Options{}), feed.Options{Lossless: true})
	same, end := drain(t, replay)
	assert.Equal(t, 45, count(same, livelevel.Report))
	assert.Equal(t, 1, count(same, livelevel.Restart))
	assert.Equal(t, 1, count(same, livelevel.Lost))
	assert.Equal(t, 1, count(same, livelevel.Back))
	assert.Equal(t, 1, count(same, livelevel.Opened))
	assert.Equal(t, livelevel.ByArrival, end.Stats.Times)
}
