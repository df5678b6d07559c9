//go:build unix

package asbuilt

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// server is a real OpenSSH server on loopback with keys, configuration and port of its own.
type server struct {
	home
	port int
	user string
}

// needs skips where a peer is not installed, but never in CI.
func needs(t testing.TB, path string) {
	t.Helper()
	if _, err := exec.LookPath(path); err != nil {
		require.Empty(t, os.Getenv("CI"), "%s is missing: .ci/run installs it", path)
		t.Skip(path + " is not installed here")
	}
}

// sshd is the server's full path: it refuses to be started by any other.
const sshd = "/usr/sbin/sshd"

func startServer(t testing.TB) server {
	t.Helper()
	needs(t, sshd)
	needs(t, "ssh")
	me, err := user.Current()
	require.NoError(t, err)
	s := server{home: newHome(t), port: freePort(t), user: me.Username}
	for _, key := range []string{"host", "user"} {
		out, err := exec.Command("ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", filepath.Join(s.dir, key)).CombinedOutput()
		require.NoError(t, err, string(out))
	}
	if os.Geteuid() == 0 {
		require.NoError(t, os.MkdirAll("/run/sshd", 0o755)) // where the server locks its child up
	}
	config := fmt.Sprintf("ListenAddress 127.0.0.1\nPort %d\nHostKey %s/host\nAuthorizedKeysFile %s/user.pub\nPidFile none\n"+
		"UsePAM no\nStrictModes no\nPasswordAuthentication no\nKbdInteractiveAuthentication no\nPermitRootLogin yes\n", s.port, s.dir, s.dir)
	path := filepath.Join(s.dir, "sshd_config")
	require.NoError(t, os.WriteFile(path, []byte(config), 0o600))
	log, err := os.Create(filepath.Join(s.dir, "sshd.log"))
	require.NoError(t, err)
	cmd := exec.Command(sshd, "-D", "-e", "-f", path)
	cmd.Stderr = log
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		_ = log.Close()
		if text, err := os.ReadFile(log.Name()); err == nil && t.Failed() {
			t.Logf("the server said:\n%s", tail(string(text)))
		}
	})
	within(t, 10*time.Second, "the server", func() bool { return answers(s.port) })
	return s
}

func freePort(t testing.TB) int {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}

func answers(port int) bool {
	c, err := net.DialTimeout("tcp", fmt.Sprintf("127.0.0.1:%d", port), time.Second)
	if err == nil {
		_ = c.Close()
	}
	return err == nil
}

// ssh is a client with a terminal at the other end; the words are quoted for the far shell.
func (s server) ssh(term string, words ...string) *exec.Cmd {
	far := []string{"env", "-u", "COLORTERM", "-u", "NO_COLOR", "HOME=" + s.dir}
	for _, w := range append(far, words...)[len(far):] {
		far = append(far, "'"+strings.ReplaceAll(w, "'", `'\''`)+"'")
	}
	cmd := exec.Command("ssh", "-F", "none", "-o", "StrictHostKeyChecking=no", "-o", "UserKnownHostsFile=/dev/null", "-o", "LogLevel=ERROR",
		"-o", "IdentitiesOnly=yes", "-i", filepath.Join(s.dir, "user"), "-p", fmt.Sprint(s.port), "-tt", s.user+"@127.0.0.1", strings.Join(far, " "))
	cmd.Env = []string{"HOME=" + s.dir, "PATH=" + os.Getenv("PATH"), "TERM=" + term}
	return cmd
}
