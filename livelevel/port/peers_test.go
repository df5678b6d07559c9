//go:build unix

package port

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const feedLine = "dist=43.2cm level=67% \xff\r\n" // 255 is doubled on the way

// Data comes back through an independent server (the example of python3-serial), which reads its feed from
// a TCP port of this test.
func TestDataThroughAnIndependentServer(t *testing.T) {
	const server = "/usr/share/doc/python3-serial/examples/rfc2217_server.py"
	if _, err := os.Stat(server); err != nil {
		t.Skip("python3-serial is not installed")
	}
	board := talker(t)
	addr := freeAddr(t)
	_, number, _ := net.SplitHostPort(addr)
	peer(t, exec.Command("/usr/bin/python3", server, "-p", number, "socket://"+board))
	s := openSoon(t, RFC2217(addr, 9600, Options{}))
	assert.Contains(t, string(read(t, s, 5*len(feedLine))), feedLine+feedLine)
}

// ser2net serves a pseudo-terminal as its serial device.
func TestDataThroughSer2net(t *testing.T) {
	path, err := exec.LookPath("ser2net")
	if err != nil {
		t.Skip("ser2net is not installed")
	}
	master, slave, err := pty.Open()
	require.NoError(t, err)
	defer master.Close()
	defer slave.Close()
	addr := freeAddr(t)
	_, number, _ := net.SplitHostPort(addr)
	config := filepath.Join(t.TempDir(), "ser2net.yaml")
	require.NoError(t, os.WriteFile(config, fmt.Appendf(nil, "connection: &board\n  accepter: telnet(rfc2217),tcp,127.0.0.1,%s\n"+
		"  connector: serialdev,%s,9600n81,local\n", number, slave.Name()), 0o600))
	peer(t, exec.Command(path, "-n", "-u", "-c", config))
	s := openSoon(t, RFC2217(addr, 9600, Options{}))
	go func() {
		for range 20 {
			if _, err := master.WriteString(feedLine); err != nil {
				return
			}
			time.Sleep(20 * time.Millisecond)
		}
	}()
	assert.Contains(t, string(read(t, s, 5*len(feedLine))), feedLine+feedLine)
}

// The bridge's device sends text at 9600 baud; at every other rate what comes is noise.
func TestAutoBaudThroughABridge(t *testing.T) {
	addr := rateBridge(t, 9600)
	s, err := RFC2217(addr, BaudAuto, Options{}).Open(context.Background())
	require.NoError(t, err)
	defer s.Close()
	var all []byte
	events := 0
	for end := time.Now().Add(10 * time.Second); !bytes.Contains(all, []byte("dist=43.2\r\ndist=43.2\r\n")); {
		c, err := s.Next()
		require.NoError(t, err)
		all = append(all, c.Data...)
		if c.Event == "baud" {
			events++
		}
		require.True(t, time.Now().Before(end), "waited in vain, got %q", all)
	}
	assert.Positive(t, events)
}

// rateBridge answers RFC 2217 and sends noise until the rate is right.
func rateBridge(t *testing.T, right uint32) string {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { l.Close() })
	go func() {
		c, err := l.Accept()
		if err != nil {
			return
		}
		defer c.Close()
		_, _ = c.Write([]byte{tIAC, tWILL, optSGA, tIAC, tDO, optComPort})
		asked := make(chan uint32, 64)
		go answerAll(c, asked)
		var rate uint32
		for range 2000 {
			select {
			case rate = <-asked:
			case <-time.After(5 * time.Millisecond):
			}
			text := []byte{0x9e, 0x81, 0xe6, 0x02, 0xf8, 0x80, 0xc0, 0x1e, 0x9e, 0x86, 0xf0, 0x66}
			if rate == right {
				text = []byte("dist=43.2\r\n")
			}
			if _, err := c.Write(text); err != nil {
				return
			}
		}
	}()
	return l.Addr().String()
}

// answerAll agrees to each command of RFC 2217 and tells the rates asked for.
func answerAll(c net.Conn, asked chan<- uint32) {
	var buf []byte
	b := make([]byte, 256)
	for {
		n, err := c.Read(b)
		if err != nil {
			return
		}
		for buf = append(buf, b[:n]...); ; {
			i := bytes.Index(buf, []byte{tIAC, tSB, optComPort})
			j := bytes.Index(buf, []byte{tIAC, tSE})
			if i < 0 || j < i {
				break
			}
			cmd, value := buf[i+3], buf[i+4:j]
			if cmd == comBaud && len(value) == 4 {
				asked <- binary.BigEndian.Uint32(value)
			}
			_, _ = c.Write(comCommand(cmd+comAnswer, value...))
			buf = buf[j+2:]
		}
	}
}

// talker is a TCP port that says the same line again and again.
func talker(t *testing.T) string {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { l.Close() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go func() {
				defer c.Close()
				for range 500 {
					if _, err := c.Write([]byte(feedLine)); err != nil {
						return
					}
					time.Sleep(10 * time.Millisecond)
				}
			}()
		}
	}()
	return l.Addr().String()
}

func freeAddr(t *testing.T) string {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	return l.Addr().String()
}

// peer runs a program for the time of the test.
func peer(t *testing.T, cmd *exec.Cmd) {
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Start(); err != nil {
		t.Skip(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if t.Failed() {
			t.Logf("%s said: %s", cmd.Path, said.String())
		}
	})
}

// openSoon opens a port whose server is about to listen.
func openSoon(t *testing.T, o Opener) Stream {
	var s Stream
	var err error
	for end := time.Now().Add(5 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if s, err = o.Open(context.Background()); err == nil {
			t.Cleanup(func() { s.Close() })
			return s
		}
	}
	require.NoError(t, err)
	return nil
}
