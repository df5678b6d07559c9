//go:build unix

package asbuilt

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// program is the path of the binary under test, built once as a release is.
var program string

func TestMain(m *testing.M) { os.Exit(buildAndRun(m)) }

func buildAndRun(m *testing.M) int {
	dir, err := os.MkdirTemp("", "asbuilt")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	program = filepath.Join(dir, "tankhand")
	build := exec.Command("go", "build", "-trimpath", "-ldflags", "-s -w -X main.version=as-built", "-o", program, "example.org/tankhand")
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "building the program: %v\n%s", err, out)
		return 1
	}
	return m.Run()
}

// home is an environment of its own: folders that are empty, a terminal that is named.
type home struct {
	dir string
	env []string
}

func newHome(t testing.TB) home {
	dir := t.TempDir()
	return home{dir, []string{"HOME=" + dir, "PATH=" + os.Getenv("PATH"), "TERM=xterm-256color", "LANG=C.UTF-8"}}
}

// data is the folder of visits and captures.
func (h home) data() string { return filepath.Join(h.dir, ".local", "share", "tankhand") }

func (h home) command(args ...string) *exec.Cmd {
	cmd := exec.Command(program, args...)
	cmd.Env, cmd.Dir = h.env, h.dir
	return cmd
}

// result is how a run ended.
type result struct {
	out, errs string
	status    int
}

// run runs the program to its end, which must come within a minute and never by a signal or a panic.
func (h home) run(t testing.TB, args ...string) result {
	t.Helper()
	return finish(t, h.command(args...))
}

func finish(t testing.TB, cmd *exec.Cmd) result {
	t.Helper()
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	require.NoError(t, cmd.Start())
	stop := time.AfterFunc(time.Minute, func() { _ = cmd.Process.Kill() })
	defer stop.Stop()
	err := cmd.Wait()
	var e *exec.ExitError
	if err != nil && !errors.As(err, &e) {
		require.NoError(t, err)
	}
	r := result{out.String(), errs.String(), cmd.ProcessState.ExitCode()}
	require.GreaterOrEqual(t, r.status, 0, "ended by a signal: %v\n%s", cmd.ProcessState, tail(r.errs))
	for _, sign := range []string{"panic:", "goroutine 1 [", "runtime error"} {
		require.NotContains(t, r.errs, sign)
		require.NotContains(t, r.out, sign)
	}
	return r
}

func tail(s string) string { return s[max(0, len(s)-2000):] }

// short leaves out what takes long where the race detector runs: the binary under test is built without it.
// The others run side by side, as most of their time is spent waiting.
func short(t testing.TB) {
	t.Helper()
	if testing.Short() {
		t.Skip("the binary under test is the same as in the long run")
	}
	if t, ok := t.(*testing.T); ok {
		t.Parallel()
	}
}

// record is what a visit holds, as the program tells it.
func (h home) record(t testing.TB, number int) string {
	t.Helper()
	r := h.run(t, "visits", "show", fmt.Sprint(number))
	require.Zero(t, r.status, r.errs)
	return r.out
}

// within waits for something, as a person would.
func within(t testing.TB, d time.Duration, what string, happened func() bool) {
	t.Helper()
	for end := time.Now().Add(d); !happened(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			require.Fail(t, "waited "+d.String()+" for "+what)
		}
	}
}

// count is how many lines of a record hold a text.
func count(record, text string) int {
	n := 0
	for _, l := range strings.Split(record, "\n") {
		if strings.Contains(l, text) {
			n++
		}
	}
	return n
}

// onlyCapture is the one raw capture of this home.
func (h home) onlyCapture(t testing.TB) string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(h.data(), "captures", "*"))
	require.NoError(t, err)
	require.Len(t, found, 1)
	return found[0]
}
