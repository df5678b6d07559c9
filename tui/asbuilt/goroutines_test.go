//go:build unix

package asbuilt

import (
	"bufio"
	"bytes"
	"fmt"
	"regexp"
	"runtime"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestGoroutinesDoNotGrow counts what the runtime lists when the program is told to quit, after a
// minute of feed and after 72 hours of it.
func TestGoroutinesDoNotGrow(t *testing.T) {
	short(t)
	h := newHome(t)
	early, late := goroutines(t, h, 60), goroutines(t, h, 72*3600)
	t.Logf("%d goroutines after a minute, %d after 72 hours", early, late)
	assert.Greater(t, early, 1)
	// The collector of garbage brings a worker for each processor once it is needed.
	assert.LessOrEqual(t, late, early+runtime.NumCPU())
}

// goroutines gives the program so many seconds of feed through its standard input and lets the runtime
// count. The pipe holds a few hundred lines, so that what was not yet read is little.
func goroutines(t *testing.T, h home, seconds int) int {
	t.Helper()
	cmd := h.command("survey", "--file", "-")
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	stop := time.AfterFunc(2*time.Minute, func() { _ = cmd.Process.Kill() })
	defer stop.Stop()
	w := bufio.NewWriterSize(in, 1<<16)
	for n := range seconds {
		_, err = fmt.Fprintf(w, "up=%d %s", n, usual(n*20))
		require.NoError(t, err)
	}
	require.NoError(t, w.Flush())
	time.Sleep(time.Second) // what still stands in the pipe
	require.NoError(t, cmd.Process.Signal(syscall.SIGQUIT))
	_ = cmd.Wait()
	n := len(regexp.MustCompile(`(?m)^goroutine \d+ .*\[`).FindAllString(said.String(), -1))
	require.Positive(t, n, tail(said.String()))
	return n
}
