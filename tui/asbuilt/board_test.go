//go:build unix

package asbuilt

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/port"
)

// board is an invented controller at the far end of a pseudo-terminal, behind a name that stays the
// same when it is pulled and plugged in again, as that of a USB port does.
type board struct {
	t    testing.TB
	name string
	say  func(n int) string // the n-th report; nil: the usual one
	mu   sync.Mutex
	pair *port.Pair
	n    int
}

func newBoard(t testing.TB, dir string) *board {
	b := &board{t: t, name: filepath.Join(dir, "ttyBOARD")}
	b.plug()
	stop, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		for tick := time.NewTicker(50 * time.Millisecond); ; {
			select {
			case <-tick.C:
				b.report()
			case <-stop:
				tick.Stop()
				return
			}
		}
	}()
	t.Cleanup(func() { close(stop); <-stopped; b.pull() })
	return b
}

func (b *board) plug() {
	b.mu.Lock()
	defer b.mu.Unlock()
	pair, err := port.Terminal()
	require.NoError(b.t, err)
	_ = os.Remove(b.name)
	require.NoError(b.t, os.Symlink(pair.Name(), b.name))
	b.pair = pair
}

// pull unplugs it, in the middle of a line.
func (b *board) pull() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.pair == nil {
		return
	}
	_, _ = b.pair.Write([]byte("Distance: 8"))
	_ = b.pair.Close()
	_ = os.Remove(b.name)
	b.pair = nil
}

// report sends the next line, if anybody is plugged in.
func (b *board) report() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.pair == nil {
		return
	}
	b.n++
	line := usual(b.n)
	if b.say != nil {
		line = b.say(b.n)
	}
	_, _ = b.pair.Write([]byte(line))
}

// usual is a board in order whose tank fills and empties.
func usual(n int) string {
	d := 80 + 30*math.Sin(float64(n)/200)
	return fmt.Sprintf("Distance: %.1f cm  Pump: %s  Uptime: %d s\r\n", d, []string{"OFF", "ON"}[n/300%2], n/20)
}

// speak changes what the board says.
func (b *board) speak(say func(n int) string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.say = say
}

// sheet writes a site sheet that fits the board.
func (h home) sheet(t testing.TB) string {
	path := filepath.Join(h.dir, "site.yaml")
	require.NoError(t, os.WriteFile(path, []byte("sheet: tankhand/site/1\nsite: Quarry Lane glasshouse\nasset: HT-2\n"+
		"tank: {shape: vertical cylinder, diameter: 1.10 m, height: 1.60 m}\nsensor: {face_height: 1.75 m}\n"), 0o644))
	return path
}
