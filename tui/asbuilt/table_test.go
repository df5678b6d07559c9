//go:build unix

package asbuilt

import (
	"bufio"
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/visit"
)

// BenchmarkTable prints the speed table of the README: the program as it is built against peers that do
// the part of the work that they can, run in the same go on the same file. The peers read one column
// and know no checks; a ratio above 1 says by how much this program is the slower one.
//
//	go test ./tui/asbuilt -run '^$' -bench Table -benchtime 1x
func BenchmarkTable(b *testing.B) {
	needs(b, "mawk")
	needs(b, "jq")
	needs(b, "sqlite3")
	h := newHome(b)
	needs(b, "mlr")
	fmt.Println("\n| work; peer | size | tankhand s | peer s | ratio | tankhand MB | peer MB |\n|---|---|---|---|---|---|---|")
	for _, mb := range []int{1, 10, 100} {
		log := logOf(b, h, mb*1_000_000, math.MaxInt, keyed)
		row("survey of a key=value log, all checks; mawk: mean, least and greatest of one column", fmt.Sprintf("%d MB", mb),
			took(b, h.command("survey", "--file", log)), took(b, exec.Command("mawk", "-F[= ]", fmt.Sprintf(meanLeastGreatest, "$4"), log)))
	}
	millionLines(b, h)
	for _, n := range []int{10, 1_000, 10_000} {
		store := storeOf(b, h, n)
		row("list of visits; peer: sqlite3, the same table", fmt.Sprintf("%d visits", n),
			took(b, h.command("visits", "list", "--store", store)), took(b, exec.Command("sqlite3", store, "SELECT * FROM visits ORDER BY 1")))
	}
	for b.Loop() {
		time.Sleep(time.Millisecond) // the table is the result, not the time of this loop
	}
}

// meanLeastGreatest is the least that a survey does: one number from each line, with its mean and range.
const meanLeastGreatest = `{x=%s+0; s+=x; if (NR==2 || x<m) m=x; if (NR==2 || x>M) M=x} END {print s/NR, m, M}`

// millionLines surveys a million lines of each kind of text beside what reads one column of the same file.
func millionLines(b *testing.B, h home) {
	const most = math.MaxInt
	log := logOf(b, h, most, 1_000_000, keyed)
	ours := took(b, h.command("survey", "--file", log))
	row("a million lines, key=value; mawk", "1,000,000", ours, took(b, exec.Command("mawk", "-F[= ]", fmt.Sprintf(meanLeastGreatest, "$4"), log)))
	row("the same; mlr", "", ours, took(b, exec.Command("mlr", "--idkvp", "--ifs", "space", "--ojson", "stats1", "-a", "mean,min,max", "-f", "dist", log)))
	log = logOf(b, h, most, 1_000_001, func(n int) string {
		if n == 0 {
			return "time_ms,distance_cm,pump\n"
		}
		return fmt.Sprintf("%d,%.1f,%d\n", n*100, 80+30*math.Sin(float64(n)/2000), n/3000%2)
	})
	ours = took(b, h.command("survey", "--file", log))
	row("CSV; mawk", "1,000,000", ours, took(b, exec.Command("mawk", "-F,", fmt.Sprintf(meanLeastGreatest, "$2"), log)))
	row("the same; mlr", "", ours, took(b, exec.Command("mlr", "--icsv", "--ojson", "stats1", "-a", "mean,min,max", "-f", "distance_cm", log)))
	log = logOf(b, h, most, 1_000_001, captured)
	row("a capture; mawk", "1,000,000", took(b, h.command("survey", "--file", log)),
		took(b, exec.Command("mawk", "-F[= ]", fmt.Sprintf(meanLeastGreatest, "$4"), log)))
	log = logOf(b, h, most, 1_000_000, func(n int) string {
		return fmt.Sprintf("Distance: %.1f cm  Level: %d %%  Pump: %d\n", 80+30*math.Sin(float64(n)/2000), n%90, n/3000%2)
	})
	row("prose without times; mawk", "1,000,000", took(b, h.command("survey", "--file", log)),
		took(b, exec.Command("mawk", fmt.Sprintf(meanLeastGreatest, "$2"), log)))
	log = logOf(b, h, most, 1_000_000, func(n int) string {
		return fmt.Sprintf("{\"distance_cm\": %.1f, \"pump\": %v, \"uptime_s\": %d}\n", 80+30*math.Sin(float64(n)/2000), n/3000%2 == 1, n/10)
	})
	ours = took(b, h.command("survey", "--file", log))
	row("JSON; jq", "1,000,000", ours, took(b, exec.Command("jq", "-n", "reduce inputs.distance_cm as $d ([0, 1e9, -1e9]; [.[0]+$d, ([.[1], $d] | min), ([.[2], $d] | max)])", log)))
}

// keyed is a line of a week-long log at 10 Hz.
func keyed(n int) string {
	return fmt.Sprintf("t=%d dist=%.1fcm level=%d pump=%d\n", n*100, 80+30*math.Sin(float64(n)/2000), n%90, n/3000%2)
}

// captured is the same as it came over a port, a record a line.
func captured(n int) string {
	if n == 0 {
		return `{"schema":"tankhand/capture/1","source":"/dev/ttyUSB0","baud":9600,"started":"2026-05-04T07:31:00Z","part":1}` + "\n"
	}
	line := keyed(n)
	return fmt.Sprintf("{\"ms\":%d,\"data\":\"%s\\r\\n\"}\n", n*100, line[:len(line)-1])
}

// cost is what a run took.
type cost struct {
	time time.Duration
	mb   float64 // resident at the most
}

func row(work, size string, ours, peer cost) {
	fmt.Printf("| %s | %s | %.3f | %.3f | %.1f | %.0f | %.0f |\n", work, size, ours.time.Seconds(), peer.time.Seconds(),
		ours.time.Seconds()/peer.time.Seconds(), ours.mb, peer.mb)
}

// took is the best of three runs, and the most memory; an exit status of a survey is no failure.
func took(b *testing.B, cmd *exec.Cmd) cost {
	best := cost{time: time.Hour}
	for range 3 {
		again := exec.Command(cmd.Path, cmd.Args[1:]...)
		again.Env, again.Dir = cmd.Env, cmd.Dir
		began := time.Now()
		_ = again.Run()
		best.time = min(best.time, time.Since(began))
		if u, ok := again.ProcessState.SysUsage().(*syscall.Rusage); ok {
			best.mb = max(best.mb, float64(u.Maxrss)/1024) // kB on Linux
		}
		require.True(b, again.ProcessState.Exited() && again.ProcessState.ExitCode() != 2, "%s", cmd)
	}
	return best
}

// logOf writes lines until there are so many bytes or so many lines.
func logOf(b *testing.B, h home, bytes, lines int, line func(n int) string) string {
	path := filepath.Join(h.dir, "log.txt")
	f, err := os.Create(path)
	require.NoError(b, err)
	w := bufio.NewWriter(f)
	for n, size := 0, 0; size < bytes && n < lines; n++ {
		k, err := w.WriteString(line(n))
		require.NoError(b, err)
		size += k
	}
	require.NoError(b, w.Flush())
	require.NoError(b, f.Close())
	return path
}

func storeOf(b *testing.B, h home, visits int) string {
	path := filepath.Join(h.dir, fmt.Sprintf("visits-%d.db", visits))
	s, err := visit.Open(path)
	require.NoError(b, err)
	begun := time.Date(2026, 5, 4, 7, 30, 0, 0, time.UTC)
	var batch []visit.Event
	for i := range visits {
		id := fmt.Sprintf("%08x-visit", i*7919)
		for seq, body := range []visit.Body{
			visit.BegunBody{Site: "Quarry Lane glasshouse", Asset: fmt.Sprint("HT-", i%200)},
			visit.NoteBody{Text: "invented"},
		} {
			e, err := visit.New(body)
			require.NoError(b, err)
			batch = append(batch, e.Stamp(fmt.Sprintf("%s-%d", id, seq), id, int64(seq+1), begun.Add(time.Duration(i)*time.Hour)))
		}
	}
	require.NoError(b, s.Append(context.Background(), batch...))
	require.NoError(b, s.Close())
	return path
}
