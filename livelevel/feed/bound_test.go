package feed_test

import (
	"context"
	"io"
	"math/rand/v2"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
)

const (
	flood     = 20 << 20 // bytes: what 10 MB/s bring in two seconds
	heapBound = 40 << 20 // bytes over what stood there before
)

// hose is a live port that brings bytes as fast as they are taken.
type hose struct {
	fill func([]byte)
	left int
	at   time.Time
	peak *uint64
}

func (h *hose) Open(context.Context) (port.Stream, error) { return h, nil }
func (h *hose) Info() port.Info {
	return port.Info{Source: "hose", Live: true, Times: livelevel.ByArrival}
}
func (h *hose) Close() error { return nil }

func (h *hose) Next() (port.Chunk, error) {
	if h.left <= 0 {
		return port.Chunk{}, io.EOF
	}
	b := make([]byte, 4<<10) // as a port reads
	h.fill(b)
	h.left -= len(b)
	h.at = h.at.Add(400 * time.Microsecond)
	if h.left%(1<<20) == 0 {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		*h.peak = max(*h.peak, m.HeapInuse)
	}
	return port.Chunk{Data: b, At: h.at}, nil
}

// Noise and a line without an end take bounded memory, however long they last, with the raw capture on and
// a reader of the feed that hardly takes anything.
func TestAFloodTakesBoundedMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	r := rand.New(rand.NewPCG(1, 2))
	floods := map[string]func([]byte){
		"noise": func(b []byte) {
			for i := 0; i+8 <= len(b); i += 8 {
				v := r.Uint64()
				for k := range 8 {
					b[i+k] = byte(v >> (8 * k))
				}
			}
		},
		"a line without an end": func(b []byte) {
			for i := range b {
				b[i] = '7'
			}
		},
		"empty lines": func(b []byte) {
			for i := range b {
				b[i] = '\n'
			}
		},
	}
	for name, fill := range floods {
		t.Run(name, func(t *testing.T) {
			runtime.GC()
			var before runtime.MemStats
			runtime.ReadMemStats(&before)
			peak := uint64(0)
			f := feed.Start(context.Background(), &hose{fill: fill, left: flood, at: time.Unix(1e9, 0), peak: &peak}, feed.Options{Capture: t.TempDir()})
			var last feed.Batch
			for b := range f.Batches() {
				if last = b; b.End == nil {
					time.Sleep(2 * time.Millisecond) // a slow screen
				}
			}
			require.ErrorIs(t, last.End, io.EOF)
			assert.EqualValues(t, flood, last.Stats.Bytes)
			assert.Zero(t, last.Stats.Readings)
			t.Logf("peak %d MB", (peak-min(peak, before.HeapInuse))>>20)
			assert.Less(t, peak, before.HeapInuse+heapBound)
		})
	}
}
