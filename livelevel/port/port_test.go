package port

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
)

func terminal(t *testing.T) *Pair {
	t.Helper()
	p, err := Terminal()
	if err != nil {
		t.Skip(err)
	}
	t.Cleanup(func() { p.Close() })
	return p
}

func TestSerialSilenceUnplugAndOwnClose(t *testing.T) {
	p := terminal(t)
	o := Serial(p.Name(), 9600, Options{})
	s, err := o.Open(context.Background())
	require.NoError(t, err)
	_, err = p.Write([]byte("a\x00\xff\r\n"))
	require.NoError(t, err)
	assert.Equal(t, "a\x00\xff\r\n", string(read(t, s, 5)), "eight bits, nothing changed")
	c, err := s.Next()
	require.NoError(t, err)
	assert.Nil(t, c.Data, "silence is no error")

	_, err = Serial(p.Name(), 9600, Options{}).Open(context.Background())
	require.ErrorIs(t, err, ErrBusy)
	assert.Equal(t, "busy", Word(err))
	assert.ErrorContains(t, err, "close the other program")

	require.NoError(t, s.Close())
	require.NoError(t, s.Close())
	for err == nil || err == ErrBusy {
		if _, err = s.Next(); err != nil {
			break
		}
	}
	_, err = s.Next()
	assert.ErrorIs(t, err, ErrClosed)

	s, err = o.Open(context.Background())
	require.NoError(t, err, "closed, so it can be had again")
	defer s.Close()
	p.Close()
	for {
		if _, err = s.Next(); err != nil {
			break
		}
	}
	assert.ErrorIs(t, err, ErrLost)
	_, again := s.Next()
	assert.Equal(t, err, again)
}

func TestOpeningWhatIsNoPort(t *testing.T) {
	_, err := Serial("/dev/no-such-port", 9600, Options{}).Open(context.Background())
	require.ErrorIs(t, err, ErrNoPort)
	assert.ErrorContains(t, err, "tankhand ports")
	path := filepath.Join(t.TempDir(), "log")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	_, err = Serial(path, 9600, Options{}).Open(context.Background())
	require.ErrorIs(t, err, ErrNoPort)
	assert.ErrorContains(t, err, "--file")
	_, err = Serial(path, 9600, Options{Format: "9X7"}).Open(context.Background())
	assert.ErrorContains(t, err, "8N1")
}

func TestTerminalDoesNotWaitForAReader(t *testing.T) {
	p := terminal(t)
	for range 40 {
		_, err := p.Write(bytes.Repeat([]byte("x"), 1000))
		require.NoError(t, err)
	}
	assert.Positive(t, p.Dropped)
}

func capture(recs ...CaptureRecord) string {
	var b strings.Builder
	w := json.NewEncoder(&b)
	_ = w.Encode(CaptureHeader{Schema: CaptureSchema, Source: "/dev/ttyUSB0", Baud: 9600, Part: 1, Started: time.Date(2026, 5, 4, 7, 31, 0, 0, time.UTC)})
	for _, r := range recs {
		_ = w.Encode(r)
	}
	return b.String()
}

func open(t *testing.T, name, text string, o Options) (Stream, Opener) {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	op := File(path, o)
	s, err := op.Open(context.Background())
	require.NoError(t, err)
	t.Cleanup(func() { s.Close() })
	return s, op
}

// play reads a stream to its end as words: bytes as they are, silence as a dot, events in brackets.
func play(t *testing.T, s Stream) (words string, times []time.Time, err error) {
	t.Helper()
	for range 1000 {
		var c Chunk
		if c, err = s.Next(); err != nil {
			return words, times, err
		}
		switch {
		case c.Event != "":
			words += "[" + c.Event + "]"
		case len(c.Data) == 0:
			words += "."
		default:
			words += string(c.Data)
		}
		times = append(times, c.At)
	}
	t.Fatal("no end")
	return
}

func TestCaptureReplay(t *testing.T) {
	text := capture(CaptureRecord{Ms: 12.5, Data: EncodeBytes([]byte("a\xff\x00\n"))}, CaptureRecord{Ms: 3500, Event: "lost"}, CaptureRecord{Ms: 3600, Data: "b"})
	s, o := open(t, "c.jsonl", text+`{"ms": 4000, "da`, Options{})
	assert.Equal(t, Info{Source: o.Info().Source, Baud: 9600, Times: livelevel.ByArrival}, o.Info())
	words, times, err := play(t, s)
	assert.ErrorIs(t, err, io.EOF, "a cut last line is tolerated")
	assert.Equal(t, "a\xff\x00\n...[lost]b", words, "three whole seconds of silence show")
	assert.Equal(t, time.Date(2026, 5, 4, 7, 31, 0, 12_500_000, time.UTC), times[0].UTC())
}

func TestCaptureWithADamagedRecordGoesOn(t *testing.T) {
	s, _ := open(t, "c.jsonl", capture(CaptureRecord{Ms: 1, Data: "a"})+"{what\n"+`{"ms":2,"data":"b"}`+"\n"+`{"ms":3,"data":"Ā"}`+"\n", Options{})
	words, _, err := play(t, s)
	assert.ErrorIs(t, err, io.EOF)
	assert.Equal(t, "a[damaged]b[damaged]", words)
}

func TestCapturePace(t *testing.T) {
	path := filepath.Join(t.TempDir(), "c.jsonl")
	require.NoError(t, os.WriteFile(path, []byte(capture(CaptureRecord{Data: "a"}, CaptureRecord{Ms: 10000, Data: "b"})), 0o600))
	synctest.Test(t, func(t *testing.T) {
		s, err := File(path, Options{ClockRate: 20}).Open(context.Background())
		require.NoError(t, err)
		start := time.Now()
		_, _, err = play(t, s)
		assert.ErrorIs(t, err, io.EOF)
		assert.Equal(t, 500*time.Millisecond, time.Since(start))
	})
}

func TestLogAndGzip(t *testing.T) {
	s, o := open(t, "log.txt", "one\ntwo\n", Options{})
	assert.Equal(t, livelevel.NoTimes, o.Info().Times)
	words, times, err := play(t, s)
	assert.ErrorIs(t, err, io.EOF)
	assert.Equal(t, "one\ntwo\n", words)
	assert.True(t, times[0].IsZero())
	var z bytes.Buffer
	w := gzip.NewWriter(&z)
	_, _ = w.Write([]byte(capture(CaptureRecord{Data: "zipped"})))
	require.NoError(t, w.Close())
	s, o = open(t, "log.gz", z.String(), Options{})
	assert.Equal(t, livelevel.ByArrival, o.Info().Times)
	words, _, err = play(t, s)
	assert.ErrorIs(t, err, io.EOF)
	assert.Equal(t, "zipped", words)
	s, _ = open(t, "cut.gz", z.String()[:z.Len()-9], Options{})
	_, _, err = play(t, s)
	assert.ErrorIs(t, err, io.EOF, "a cut file gives what is there")
}

func TestFollow(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.txt")
	require.NoError(t, os.WriteFile(path, []byte("old\n"), 0o600))
	o := File(path, Options{Follow: true})
	assert.True(t, o.Info().Live)
	s, err := o.Open(context.Background())
	require.NoError(t, err)
	defer s.Close()
	f, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
	require.NoError(t, err)
	defer f.Close()
	fmt.Fprint(f, "new\n")
	assert.Equal(t, "new\n", string(read(t, s, 4)))
	require.NoError(t, f.Truncate(0))
	fmt.Fprint(f, "x\n")
	assert.Equal(t, "x\n", string(read(t, s, 2)), "an emptied file is read from its start")
}

// beeper is a simulation that says its time each half second.
type beeper struct{ t time.Duration }

func (b *beeper) Connect() error { return nil }
func (b *beeper) Advance(d time.Duration) []byte {
	if b.t += d; b.t%(500*time.Millisecond) == 0 {
		return []byte(b.t.String() + "\n")
	}
	return nil
}

func TestSimulated(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, err := Simulated("rig", &beeper{}, 10, 50*time.Millisecond).Open(context.Background())
		require.NoError(t, err)
		start := time.Now()
		for {
			c, err := s.Next()
			require.NoError(t, err)
			if string(c.Data) == "10s\n" {
				assert.Equal(t, time.Second, time.Since(start))
				assert.Equal(t, 10*time.Second, c.At.Sub(start))
				break
			}
		}
		require.NoError(t, s.Close())
		_, err = s.Next()
		assert.ErrorIs(t, err, ErrClosed)
	})
}

type refusing struct{ beeper }

func (refusing) Connect() error     { return refusal{} }
func (refusal) Error() string       { return "someone else has it" }
func (refusal) PortRefusal() string { return "busy" }

type refusal struct{}

func TestSimulatedRefusal(t *testing.T) {
	_, err := Simulated("rig", &refusing{}, AtOnce, time.Second).Open(context.Background())
	assert.ErrorIs(t, err, ErrBusy)
}

// wire is a stream at one of several rates: bytes make sense only at the right one.
type wire struct {
	at   time.Time
	text string
	rate *rate
	good rate
}

func (w *wire) Next() (Chunk, error) {
	w.at = w.at.Add(100 * time.Millisecond)
	b := []byte(w.text)
	for i := range b {
		switch {
		case w.rate.baud != w.good.baud:
			b[i] = b[i]*37 + 0x91
		case w.good.format == "7E1" && w.rate.format == "8N1":
			for p := b[i]; p != 0; p &= p - 1 {
				b[i] ^= 0x80
			}
		}
	}
	return Chunk{At: w.at, Data: b}, nil
}
func (w *wire) Close() error { return nil }

func TestAutoBaud(t *testing.T) {
	for _, good := range []rate{{9600, "8N1"}, {115200, "8N1"}, {4800, "7E1"}, {300, "8N1"}} {
		var now rate
		w := &wire{at: time.Now(), text: "dist=43.2cm level=67 pump=1\r\n", rate: &now, good: good}
		s := newAutoStream(w, func(r rate) error { now = r; return nil })
		total, given := 0, 0
		for i := 0; !s.settled && i < 2000; i++ {
			c, err := s.Next()
			require.NoError(t, err)
			given += len(c.Data)
			total++
		}
		assert.Equal(t, good, now)
		assert.Positive(t, given, "every byte is handed over")
	}
}

func TestBytesRoundTrip(t *testing.T) {
	all := make([]byte, 256)
	for i := range all {
		all[i] = byte(i)
	}
	js, err := json.Marshal(CaptureRecord{Data: EncodeBytes(all)})
	require.NoError(t, err)
	var r CaptureRecord
	require.NoError(t, json.Unmarshal(js, &r))
	back, err := DecodeBytes(nil, r.Data)
	require.NoError(t, err)
	assert.Equal(t, all, back)
}

func FuzzCapture(f *testing.F) {
	f.Add([]byte(capture(CaptureRecord{Ms: 1, Data: "a"})))
	f.Add([]byte("{\"ms\":1e300}\n{\"ms\":-1}\nnull\n[]"))
	f.Fuzz(func(t *testing.T, b []byte) {
		path := filepath.Join(t.TempDir(), "c")
		require.NoError(t, os.WriteFile(path, append([]byte(capture()), b...), 0o600))
		s, err := File(path, Options{}).Open(context.Background())
		require.NoError(t, err)
		defer s.Close()
		for range 200 {
			if _, err := s.Next(); err != nil {
				return
			}
		}
	})
}

// Any file may be named: a log, a packed log, half of one, or something else altogether.
func FuzzFile(f *testing.F) {
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	_, _ = z.Write([]byte("Distance: 81.2 cm\r\n"))
	_ = z.Close()
	f.Add(packed.Bytes())
	f.Add(packed.Bytes()[:12])
	f.Add([]byte("{\"schema\":\"tankhand/capture/1\"}"))
	f.Fuzz(func(t *testing.T, b []byte) {
		path := filepath.Join(t.TempDir(), "any")
		require.NoError(t, os.WriteFile(path, b, 0o600))
		s, err := File(path, Options{}).Open(context.Background())
		if err != nil {
			return
		}
		defer s.Close()
		for range 200 {
			if _, err := s.Next(); err != nil {
				return
			}
		}
	})
}

func TestListDoesNotFail(t *testing.T) {
	_, err := List()
	assert.NoError(t, err)
}
