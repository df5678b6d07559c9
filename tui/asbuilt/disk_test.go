//go:build unix

package asbuilt

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/tui/screentest"
)

// smallDisk runs a command with a disk of its own of so many kilobytes at dir, in a name space of its
// own, so that nobody else sees it.
func smallDisk(t *testing.T, dir string, kilobytes int, cmd *exec.Cmd, afterwards string) *exec.Cmd {
	needs(t, "unshare")
	if out, err := exec.Command("unshare", "-Urm", "true").CombinedOutput(); err != nil {
		t.Skipf("this machine lets nobody mount anything: %v %s", err, out)
	}
	require.NoError(t, os.MkdirAll(dir, 0o700))
	script := fmt.Sprintf(`mount -t tmpfs -o size=%dk tmpfs "$0" || exit 99; "$@"; status=$?; %s; exit $status`, kilobytes, afterwards)
	full := exec.Command("unshare", append([]string{"-Urm", "sh", "-c", script, dir}, cmd.Args...)...)
	full.Env, full.Dir = cmd.Env, cmd.Dir
	return full
}

// TestAFullDiskEndsNoVisit: the capture of a rig at full speed fills the disk in a moment; the visit
// goes on in memory, says so, and is rescued to where there is room.
func TestAFullDiskEndsNoVisit(t *testing.T) {
	short(t)
	for _, kilobytes := range []int{40, 150, 400} {
		t.Run(fmt.Sprint(kilobytes), func(t *testing.T) {
			h := newHome(t)
			disk := filepath.Join(h.dir, "disk")
			cmd := h.command("walk", "relay-chatter", "--rig", "hyst-small", "--rig-answers", "--listen", "12m", "--clock-rate", "800", "--data", disk)
			r := finish(t, smallDisk(t, disk, kilobytes, cmd, `df -k "$0" | tail -1; `+program+` visits list --data "$0"`))
			require.NotEqual(t, 99, r.status, r.errs)
			assert.Contains(t, r.out, "Cause named", "the walk came to its end:\n%s", r.errs)
			if strings.Contains(r.out, "relay-chatter") || strings.Contains(r.out, "Relay chatter") && r.status == 0 {
				return // the record had room, the capture had not
			}
			assert.Contains(t, r.errs, "tankhand visits import", "how the visit is rescued")
		})
	}
}

// TestAFullDiskIsSaidOnTheBench: the technician sees it and can go on.
func TestAFullDiskIsSaidOnTheBench(t *testing.T) {
	short(t)
	h := newHome(t)
	disk := filepath.Join(h.dir, "disk")
	cmd := h.command("bench", "--rig", "healthy", "--clock-rate", "400", "--data", disk)
	s := screentest.StartCommand(t, 120, 36, smallDisk(t, disk, 300, cmd, "true"))
	s.WaitFor("What does the customer say?")
	s.Type("1")
	s.WaitFor("min so far")
	s.WaitFor("! not on disk")
	s.Type("n")
	s.WaitFor("Note: [")
	s.Type("the disk is full", "<enter>")
	s.WaitGone("the disk is full")
	s.WaitFor("events in memory only")
	s.Type("q")
	s.WaitFor("Leave?")
	s.Type("<enter>")
	require.Error(t, s.Wait())
	assert.Contains(t, s.Raw(), "tankhand visits import", "how the visit is rescued")
}

// TestARecordingStopsWhereTheDiskIsFull: it says so, and what came before can be read.
func TestARecordingStopsWhereTheDiskIsFull(t *testing.T) {
	short(t)
	h := newHome(t)
	disk := filepath.Join(h.dir, "disk")
	cmd := h.command("record", "--rig", "healthy", "--clock-rate", "max", "--for", "24h", "--data", disk)
	r := finish(t, smallDisk(t, disk, 300, cmd, program+` survey --file "$0"/captures/* --for 1m`))
	assert.Equal(t, 2, r.status)
	assert.Contains(t, r.errs, "no space left")
	assert.Contains(t, r.errs, "--data")
	assert.Contains(t, r.out, "+ feed-health")
}

// TestAHomeThatMayNotBeWritten: what only looks works, what keeps says where it could not.
func TestAHomeThatMayNotBeWritten(t *testing.T) {
	short(t)
	h := newHome(t)
	survey := stranger(t, h.command("survey", "--rig", "healthy", "--for", "1m"))
	require.NoError(t, os.Chmod(h.dir, 0o555))
	t.Cleanup(func() { _ = os.Chmod(h.dir, 0o755) })
	r := finish(t, survey)
	assert.Contains(t, []int{0, 3}, r.status, r.errs)
	assert.Contains(t, r.out, "+ feed-health")

	cmd := stranger(t, h.command("walk", "relay-chatter", "--rig", "hyst-small", "--rig-answers", "--listen", "12m", "--clock-rate", "800"))
	require.NoError(t, os.Chmod(h.dir, 0o555))
	r = finish(t, cmd)
	assert.Contains(t, r.out, "Cause named", r.errs)
	assert.Contains(t, r.errs, "permission denied")
	assert.Contains(t, r.errs, "tankhand visits import", "how the visit is rescued")

	cmd = stranger(t, h.command("record", "--rig", "healthy", "--for", "1s"))
	require.NoError(t, os.Chmod(h.dir, 0o555))
	r = finish(t, cmd)
	assert.Equal(t, 2, r.status)
	assert.Contains(t, r.errs, "permission denied")
}

// TestModesOfFiles: what a visit leaves is for the technician alone, whatever the umask.
func TestModesOfFiles(t *testing.T) {
	short(t)
	h := newHome(t)
	r := finish(t, wideOpen(h.command("walk", "relay-chatter", "--rig", "hyst-small", "--rig-answers", "--listen", "12m", "--clock-rate", "800")))
	require.Zero(t, r.status, r.errs)
	for _, args := range [][]string{{"visits", "report", "1", "--format", "pdf", "--out", filepath.Join(h.data(), "r.pdf")},
		{"visits", "export", "1", "--captures", "--out", filepath.Join(h.data(), "b.jsonl")}} {
		r := finish(t, wideOpen(h.command(args...)))
		require.Zero(t, r.status, r.errs)
	}
	seen := 0
	require.NoError(t, filepath.Walk(h.data(), func(path string, info os.FileInfo, err error) error {
		require.NoError(t, err)
		want := os.FileMode(0o600)
		if info.IsDir() {
			want = 0o700
		}
		assert.Equal(t, want, info.Mode().Perm(), path)
		seen++
		return nil
	}))
	assert.GreaterOrEqual(t, seen, 5)
}

// wideOpen runs a command with a umask that forbids nothing.
func wideOpen(cmd *exec.Cmd) *exec.Cmd {
	open := exec.Command("sh", append([]string{"-c", `umask 0; exec "$@"`, "sh"}, cmd.Args...)...)
	open.Env, open.Dir = cmd.Env, cmd.Dir
	return open
}
