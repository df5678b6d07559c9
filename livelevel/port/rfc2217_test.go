package port

import (
	"bytes"
	"context"
	"encoding/hex"
	"errors"
	"io"
	"net"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/testdata/reference"
)

// Codes: RFC 2217 (October 1997).
func TestCodesOfRFC2217(t *testing.T) {
	want := map[string]byte{"SET-BAUDRATE": comBaud, "SET-DATASIZE": comSize, "SET-PARITY": comParity, "SET-STOPSIZE": comStop, "SET-CONTROL": comControl}
	found := 0
	for _, row := range reference.Table(t, "rfc2217_codes.csv") {
		client, name := int(row.Number("client_code")), row.Text("name")
		assert.Equal(t, client+comAnswer, int(row.Number("server_code")))
		if c, ok := want[name]; ok {
			assert.Equal(t, client, int(c), name)
			found++
		}
	}
	assert.Len(t, want, found)
}

// The bytes that an independent client sent and an independent server answered, captured on a loop.
func TestCommandsMatchTheCapture(t *testing.T) {
	var sent, got bytes.Buffer
	for _, row := range reference.Table(t, "rfc2217_negotiation.csv") {
		b, err := hex.DecodeString(strings.ReplaceAll(row.Text("bytes_hex"), " ", ""))
		require.NoError(t, err)
		if row.Text("direction") == "client_to_server" {
			sent.Write(b)
		} else {
			got.Write(b)
		}
	}
	for _, c := range [][]byte{comCommand(comBaud, 0, 1, 0xc2, 0), comCommand(comSize, 8), comCommand(comParity, 1), comCommand(comStop, 1),
		comCommand(comControl, controlNoFlow)} {
		assert.True(t, bytes.Contains(sent.Bytes(), c), "% x", c)
	}
	assert.Equal(t, []byte{255, 250, 44, 1, 0, 0, 255, 255, 0, 255, 240}, comCommand(comBaud, 0, 0, 255, 0), "255 is doubled")
	a, b := net.Pipe()
	go func() { _, _ = io.Copy(io.Discard, b) }()
	defer a.Close()
	tn := &telnet{conn: a}
	data := got.Bytes()
	assert.Zero(t, tn.filter(data), "nothing of the negotiation is data")
	for _, cmd := range []byte{comBaud, comSize, comParity, comStop, comControl} {
		assert.True(t, tn.acked[cmd])
	}
	assert.Equal(t, []byte{0, 1, 0xc2, 0}, tn.value[comBaud])
}

// fakeBridge is the server's end of RFC 2217 in its simplest form.
func fakeBridge(t *testing.T, answer func(cmd byte, value []byte) []byte, data []byte) string {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { l.Close() })
	go func() {
		c, err := l.Accept()
		if err != nil {
			return
		}
		defer c.Close()
		_, _ = c.Write([]byte{tIAC, tWILL, 1, tIAC, tWILL, optSGA, tIAC, tDO, optBinary, tIAC, tDO, optComPort})
		var buf []byte
		b := make([]byte, 256)
		for sent := 0; sent < 7; {
			n, err := c.Read(b)
			if err != nil {
				return
			}
			buf = append(buf, b[:n]...)
			for {
				i := bytes.Index(buf, []byte{tIAC, tSB, optComPort})
				j := bytes.Index(buf, []byte{tIAC, tSE})
				if i < 0 || j < i {
					break
				}
				if r := answer(buf[i+3], buf[i+4:j]); r != nil {
					_, _ = c.Write(r)
				}
				buf = buf[j+2:]
				sent++
			}
		}
		_, _ = c.Write(data)
		time.Sleep(200 * time.Millisecond)
	}()
	return l.Addr().String()
}

func TestRFC2217Client(t *testing.T) {
	ack := func(cmd byte, value []byte) []byte { return comCommand(cmd+comAnswer, value...) }
	addr := fakeBridge(t, ack, []byte("dist=43.2\xff\xff\r\n"))
	s, err := RFC2217(addr, 9600, Options{}).Open(context.Background())
	require.NoError(t, err)
	defer s.Close()
	assert.Equal(t, "dist=43.2\xff\r\n", string(read(t, s, 12)))
	for {
		if _, err = s.Next(); err != nil {
			break
		}
	}
	assert.ErrorIs(t, err, ErrLost)
}

func TestRFC2217Refusals(t *testing.T) {
	_, err := RFC2217(fakeBridge(t, func(cmd byte, _ []byte) []byte { return comCommand(cmd+comAnswer, 0, 0, 0x12, 0x34) }, nil), 9600, Options{}).Open(context.Background())
	require.ErrorIs(t, err, ErrNoPort)
	assert.ErrorContains(t, err, "rate")
	_, err = RFC2217(fakeBridge(t, func(byte, []byte) []byte { return []byte{tIAC, tDONT, optComPort} }, nil), 9600, Options{}).Open(context.Background())
	assert.ErrorContains(t, err, "refuses")
	_, err = Net("127.0.0.1:1", Options{}).Open(context.Background())
	assert.ErrorIs(t, err, ErrNoPort)
}

// An independent server, where it is installed.
func TestRFC2217AgainstAnIndependentServer(t *testing.T) {
	const server = "/usr/share/doc/python3-serial/examples/rfc2217_server.py"
	if _, err := os.Stat(server); err != nil {
		t.Skip("python3-serial is not installed")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	addr := l.Addr().String()
	_, p, _ := net.SplitHostPort(addr)
	l.Close()
	cmd := exec.Command("/usr/bin/python3", server, "-p", p, "loop://")
	if err := cmd.Start(); err != nil {
		t.Skip(err)
	}
	defer func() { _ = cmd.Process.Kill(); _ = cmd.Wait() }()
	var s Stream
	for end := time.Now().Add(5 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if s, err = RFC2217(addr, 115200, Options{Format: "7E1"}).Open(context.Background()); err == nil {
			break
		}
		var r *Refusal
		if !errors.As(err, &r) || !strings.Contains(err.Error(), "refused") {
			break
		}
	}
	require.NoError(t, err)
	defer s.Close()
}

// read takes at least n bytes from a stream.
func read(t *testing.T, s Stream, n int) []byte {
	t.Helper()
	var all []byte
	for end := time.Now().Add(5 * time.Second); len(all) < n; {
		c, err := s.Next()
		require.NoError(t, err)
		all = append(all, c.Data...)
		require.True(t, time.Now().Before(end), "waited in vain, got %q", all)
	}
	return all
}

func FuzzTelnet(f *testing.F) {
	f.Add([]byte("dist=43.2\r\n"))
	f.Add([]byte{255, 250, 44, 101, 0, 0, 255, 255, 240, 255, 255, 'x'})
	f.Fuzz(func(t *testing.T, b []byte) {
		a, c := net.Pipe()
		go func() { _, _ = io.Copy(io.Discard, c) }()
		defer a.Close()
		tn := &telnet{conn: a}
		n := tn.filter(bytes.Clone(b))
		assert.LessOrEqual(t, n, len(b))
		assert.LessOrEqual(t, len(tn.sub), maxSub)
	})
}
