package visit

import (
	"bufio"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var crashRuns = flag.Int("crash.runs", 50, "how often the crash test kills a program that writes a visit")

// The crash test runs this test binary again as the program that is killed.
const crashStore, crashVisit = "TANKHAND_TEST_CRASH_STORE", "TANKHAND_TEST_CRASH_VISIT"

func TestMain(m *testing.M) {
	if path := os.Getenv(crashStore); path != "" {
		os.Exit(writeUntilKilled(path, os.Getenv(crashVisit)))
	}
	code := m.Run()
	stopCluster()
	os.Exit(code)
}

// writeUntilKilled appends events and prints the number of each as soon as the store confirmed it.
func writeUntilKilled(path, visit string) int {
	s, err := Open(path)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	bodies := scriptedBodies()
	for seq := int64(1); ; seq++ {
		b := bodies[(seq-1)%int64(len(bodies))]
		e, err := New(b)
		if err == nil {
			err = s.Append(ctx, e.Stamp(fmt.Sprintf("%s-%d", visit, seq), visit, seq, begun.Add(time.Duration(seq)*time.Second)))
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
		fmt.Println(seq)
	}
}

// crashOnce starts the writer, kills it after a while and returns the last number it printed.
func crashOnce(t *testing.T, path, visit string, after time.Duration) (confirmed int64) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), crashStore+"="+path, crashVisit+"="+visit)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	timer := time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
	defer timer.Stop()
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if n, err := strconv.ParseInt(lines.Text(), 10, 64); err == nil {
			confirmed = n
		}
	}
	err = cmd.Wait()
	require.Error(t, err)
	require.False(t, cmd.ProcessState.Exited(), "the writer was to be killed, it ended by itself: %v", err)
	return confirmed
}

func TestKilledProgramsLoseNothingThatWasConfirmed(t *testing.T) {
	runs := *crashRuns
	if testing.Short() {
		runs = min(runs, 5)
	}
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 1))
	path := filepath.Join(t.TempDir(), "visits.db")
	confirmed, written := int64(0), int64(0)
	for i := range runs {
		visit := fmt.Sprintf("visit-%d", i)
		n := crashOnce(t, path, visit, time.Duration(random.IntN(60_000))*time.Microsecond)
		stored := checkVisit(t, path, visit, n)
		confirmed, written = confirmed+n, written+stored
	}
	require.Positive(t, confirmed, "no run got as far as a confirmed event")
	t.Logf("%d kills, %d events confirmed, %d on disk, none lost, none twice", runs, confirmed, written)
	s, err := Open(path)
	require.NoError(t, err)
	defer s.Close()
	require.NoError(t, s.Check(ctx))
}

// checkVisit asserts that the first n events are there, that none is there twice, that none is torn,
// and that the list agrees.
func checkVisit(t *testing.T, path, visit string, n int64) int64 {
	t.Helper()
	s, err := Open(path)
	require.NoError(t, err)
	defer s.Close()
	es, err := s.Events(ctx, visit)
	require.NoError(t, err)
	require.GreaterOrEqual(t, int64(len(es)), n, "confirmed events are missing")
	require.LessOrEqual(t, int64(len(es)), n+1, "at most one event was on its way")
	for i, e := range es {
		require.EqualValues(t, i+1, e.Seq)
		require.Equal(t, fmt.Sprintf("%s-%d", visit, e.Seq), e.ID)
		_, err := Decode(e)
		require.NoError(t, err)
	}
	list, err := s.Visits(ctx)
	require.NoError(t, err)
	for _, m := range list {
		if m.ID == visit {
			require.EqualValues(t, len(es), m.Events)
		}
	}
	return int64(len(es))
}

// A power cut leaves the log of the database at any length, with anything after it. Whatever was
// confirmed before that length was reached is there.
func TestCutCopiesHoldWhatWasConfirmed(t *testing.T) {
	s, path := openTemp(t)
	es := scripted(t, "v1")
	size := make([]int64, len(es)) // of the log when the event was confirmed
	for i, e := range es {
		require.NoError(t, s.Append(ctx, e))
		info, err := os.Stat(path + "-wal")
		require.NoError(t, err)
		size[i] = info.Size()
	}
	db, err := os.ReadFile(path)
	require.NoError(t, err)
	wal, err := os.ReadFile(path + "-wal")
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(7, 7))
	cuts := append([]int64{int64(len(wal))}, size...)
	for range 60 {
		cuts = append(cuts, random.Int64N(int64(len(wal))))
	}
	for i, cut := range cuts {
		tail := make([]byte, random.IntN(5000))
		for j := range tail {
			tail[j] = byte(random.Uint32())
		}
		copied := filepath.Join(t.TempDir(), fmt.Sprintf("cut%d.db", i))
		require.NoError(t, os.WriteFile(copied, db, 0o600))
		require.NoError(t, os.WriteFile(copied+"-wal", append(append([]byte(nil), wal[:cut]...), tail...), 0o600))
		assertCut(t, copied, es, size, cut)
	}
}

func assertCut(t *testing.T, path string, es []Event, size []int64, cut int64) {
	t.Helper()
	s, err := Open(path)
	require.NoError(t, err, "cut at %d", cut)
	defer s.Close()
	got, err := s.Events(ctx, "v1")
	require.NoError(t, err)
	want := 0
	for want < len(size) && size[want] <= cut {
		want++
	}
	require.GreaterOrEqual(t, len(got), want, "cut at %d", cut)
	if len(got) > 0 {
		assert.Equal(t, es[:len(got)], got, "cut at %d", cut)
	}
}

// A power cut while the log is being moved into the file leaves any part of the pages moved. The log
// is whole then, so nothing is lost.
func TestCutWhileTheLogIsMovedLosesNothing(t *testing.T) {
	s, path := openTemp(t)
	es := scripted(t, "v1")
	require.NoError(t, s.Append(ctx, es...))
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	wal, err := os.ReadFile(path + "-wal")
	require.NoError(t, err)
	require.NoError(t, s.Close()) // moves the log
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Greater(t, len(after), len(before))
	random := rand.New(rand.NewPCG(11, 11))
	const sector = 512
	for i := range 20 {
		mixed := append(append([]byte(nil), before...), make([]byte, random.IntN(len(after)-len(before)+1))...)
		for at := 0; at+sector <= len(mixed); at += sector {
			if random.IntN(2) == 0 {
				copy(mixed[at:at+sector], after[at:])
			}
		}
		copied := filepath.Join(t.TempDir(), fmt.Sprintf("mixed%d.db", i))
		require.NoError(t, os.WriteFile(copied, mixed, 0o600))
		require.NoError(t, os.WriteFile(copied+"-wal", wal, 0o600))
		assertCut(t, copied, es, []int64{0}, 0)
		again, err := Open(copied)
		require.NoError(t, err)
		got, err := again.Events(ctx, "v1")
		require.NoError(t, err)
		require.Equal(t, es, got)
		require.NoError(t, again.Check(ctx))
		require.NoError(t, again.Close())
	}
}
