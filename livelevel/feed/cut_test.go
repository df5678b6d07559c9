package feed_test

import (
	"bytes"
	"context"
	"io"
	"math/rand/v2"
	"strconv"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
)

// source is a port whose bytes come from a reader, in chunks as the reader cuts them.
type source struct {
	r    io.Reader
	at   time.Time
	live bool
	buf  [512]byte
}

func (s *source) Open(context.Context) (port.Stream, error) { return s, nil }
func (s *source) Close() error                              { return nil }
func (s *source) Info() port.Info {
	return port.Info{Source: "a test", Live: s.live, Times: livelevel.ByArrival, MayRestart: true}
}
func (s *source) Next() (port.Chunk, error) {
	for {
		n, err := s.r.Read(s.buf[:])
		if n > 0 {
			s.at = s.at.Add(time.Millisecond)
			return port.Chunk{At: s.at, Data: s.buf[:n]}, nil
		}
		if err != nil {
			return port.Chunk{At: s.at}, err
		}
	}
}

func start(r io.Reader, live bool) *feed.Feed {
	return feed.Start(context.Background(), &source{r: r, at: time.Unix(1e9, 0), live: live}, feed.Options{Lossless: true})
}

// random cuts at random places.
type random struct {
	r   io.Reader
	rnd *rand.Rand
}

func (c random) Read(p []byte) (int, error) { return c.r.Read(p[:1+c.rnd.IntN(len(p))]) }

func TestSameReadingsHoweverTheBytesAreCut(t *testing.T) {
	text := []byte("garbage\x80\xff\r\nboot: start-up\r\n" + lines(200) + "Distance: 4")
	want, _ := drain(t, start(bytes.NewReader(text), false))
	require.Equal(t, 200, count(want, livelevel.Report))
	require.Equal(t, 1, count(want, livelevel.Restart))
	for name, cut := range map[string]io.Reader{
		"one":    iotest.OneByteReader(bytes.NewReader(text)),
		"half":   iotest.HalfReader(bytes.NewReader(text)),
		"eof":    iotest.DataErrReader(bytes.NewReader(text)),
		"random": random{bytes.NewReader(text), rand.New(rand.NewPCG(1, 2))},
	} {
		got, last := drain(t, start(cut, false))
		require.Len(t, got, len(want), name)
		for i := range got {
			got[i].Time, want[i].Time = time.Time{}, time.Time{}
			got[i].Ours, want[i].Ours = false, false
		}
		assert.Equal(t, want, got, name)
		assert.ErrorIs(t, last.End, io.EOF)
	}
}

func TestLineEnds(t *testing.T) {
	plain := bytes.ReplaceAll([]byte(lines(50)), []byte("\r\n"), []byte("\n"))
	for _, end := range []string{"\n", "\r\n", "\r"} {
		all, _ := drain(t, start(bytes.NewReader(bytes.ReplaceAll(plain, []byte("\n"), []byte(end))), false))
		assert.Equal(t, 50, count(all, livelevel.Report), "%q", end)
		assert.Equal(t, 0, count(all, livelevel.Rejected), "%q", end)
	}
}

func TestALiveFeedSettlesSoonAndHandsOverWhatWasHeld(t *testing.T) {
	all, _ := drain(t, start(bytes.NewReader([]byte(lines(8))), true))
	assert.Equal(t, 8, count(all, livelevel.Report))
}

// TestEmptyLinesHideNoFeed begins with far more empty lines than the learner looks at.
func TestEmptyLinesHideNoFeed(t *testing.T) {
	for _, live := range []bool{false, true} {
		text := append(bytes.Repeat([]byte("\r\n"), 100_000), lines(100)...)
		all, last := drain(t, start(bytes.NewReader(text), live))
		assert.Equal(t, 100, count(all, livelevel.Report))
		assert.Zero(t, last.Stats.Rejected)
	}
}

func TestHostileBytes(t *testing.T) {
	endless := bytes.Repeat([]byte("x"), 3<<20)
	noise := make([]byte, 1<<20)
	r := rand.New(rand.NewPCG(5, 6))
	for i := range noise {
		noise[i] = byte(r.IntN(256))
	}
	text := append(append(append([]byte(lines(100)), endless...), '\n'), noise...)
	text = append(append(text, '\n'), []byte(lines(100))...)
	all, last := drain(t, start(bytes.NewReader(text), false))
	assert.InDelta(t, 200, count(all, livelevel.Report), 1)
	assert.Greater(t, last.Stats.Rejected, int64(1000))
	for _, b := range all {
		assert.Less(t, len(b.Text), 300)
	}
}

func TestNothingButNoiseIsRejected(t *testing.T) {
	noise := make([]byte, 50_000)
	r := rand.New(rand.NewPCG(8, 9))
	for i := range noise {
		noise[i] = byte(r.IntN(256))
	}
	all, last := drain(t, start(bytes.NewReader(noise), true))
	assert.Zero(t, count(all, livelevel.Report))
	assert.Positive(t, last.Stats.Rejected)
}

func TestSlowConsumerLosesReadingsNotBytes(t *testing.T) {
	text := []byte(lines(100_000))
	f := feed.Start(context.Background(), &source{r: bytes.NewReader(text), at: time.Unix(1e9, 0), live: true}, feed.Options{})
	time.Sleep(500 * time.Millisecond)
	_, last := drain(t, f)
	assert.Equal(t, int64(len(text)), last.Stats.Bytes)
	assert.Equal(t, int64(100_000), last.Stats.Readings)
}

// slow is a port that brings a line every two seconds, and in between says that nothing came.
type slow struct{ n int }

func (s *slow) Open(context.Context) (port.Stream, error) { return s, nil }
func (s *slow) Close() error                              { return nil }
func (s *slow) Info() port.Info                           { return port.Info{Source: "a slow feed", Times: livelevel.ByArrival} }
func (s *slow) Next() (port.Chunk, error) {
	at := time.Unix(1e9, 0).Add(time.Duration(s.n) * time.Second)
	s.n++
	switch {
	case s.n > 400:
		return port.Chunk{At: at}, io.EOF
	case s.n%2 == 0:
		return port.Chunk{At: at}, nil
	}
	return port.Chunk{At: at, Data: []byte("dist=" + strconv.Itoa(500+s.n%7) + "mm pump=OFF\n")}, nil
}

func TestTheClockDoesNotOvertakeLinesHeldBack(t *testing.T) {
	f := feed.Start(context.Background(), &slow{}, feed.Options{Lossless: true})
	got, _ := drain(t, f)
	require.Equal(t, 200, count(got, livelevel.Report))
	for i := 1; i < len(got); i++ {
		require.False(t, got[i].Time.Before(got[i-1].Time), "item %d goes back in time", i)
	}
}
