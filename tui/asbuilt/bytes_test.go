//go:build unix

package asbuilt

import (
	"fmt"
	"io"
	"net"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"example.org/tankhand/tui/screentest"
)

// counter passes a connection on to the server and counts what comes back from it.
type counter struct {
	net.Listener
	toClient atomic.Int64
}

func countTo(t testing.TB, port int) *counter {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	c := &counter{Listener: l}
	t.Cleanup(func() { _ = l.Close() })
	go func() {
		for {
			near, err := l.Accept()
			if err != nil {
				return
			}
			far, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", port))
			if err != nil {
				_ = near.Close()
				return
			}
			go func() { _, _ = io.Copy(far, near); _ = far.Close() }()
			go func() { _, _ = io.Copy(io.MultiWriter(near, tally{&c.toClient}), far); _ = near.Close() }()
		}
	}()
	return c
}

type tally struct{ n *atomic.Int64 }

func (t tally) Write(p []byte) (int, error) {
	t.n.Add(int64(len(p)))
	return len(p), nil
}

func (c *counter) port() int { return c.Addr().(*net.TCPAddr).Port }

// BenchmarkBytesOverSSH is what a bench on a healthy rig with ten readings a second costs on the line from server to
// client: payload of TCP with SSH's own framing, and what the terminal gets of it. One operation is five seconds of the
// clock of the world. The aims, to the terminal and in the mean: under 600 B/s at 80x24, under 2,000 B/s at 120x36.
func BenchmarkBytesOverSSH(b *testing.B) {
	srv := startServer(b)
	for _, size := range [][2]int{{80, 24}, {120, 36}} {
		for _, how := range []string{"plain", "compressed", "not-slow"} {
			b.Run(fmt.Sprintf("%dx%d/%s", size[0], size[1], how), func(b *testing.B) { countOverSSH(b, srv, size, how) })
		}
	}
}

func countOverSSH(b *testing.B, srv server, size [2]int, how string) {
	line := countTo(b, srv.port)
	through := srv
	through.port = line.port()
	words := []string{program, "bench", "--rig", "healthy"}
	if how == "not-slow" {
		words = append(words, "--slow-link=false")
	}
	cmd := through.ssh("xterm-256color", words...)
	if how == "compressed" {
		cmd.Args = slices.Insert(cmd.Args, 1, "-C")
	}
	s := screentest.StartCommand(b, size[0], size[1], cmd)
	s.WaitFor("+ feed good")
	s.WaitFor("m deep")
	onLine, shown := line.toClient.Load(), s.Bytes()
	for b.Loop() {
		time.Sleep(5 * time.Second)
	}
	seconds := b.Elapsed().Seconds()
	b.ReportMetric(float64(line.toClient.Load()-onLine)/seconds, "B/s-on-the-line")
	b.ReportMetric(float64(s.Bytes()-shown)/seconds, "B/s-to-terminal")
}
