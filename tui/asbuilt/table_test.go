//go:build unix

package asbuilt

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
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
	fmt.Println("\n| work | size | tankhand s | peer s | ratio |\n|---|---|---|---|---|")
	for _, mb := range []int{1, 10, 100} {
		log := logOf(b, h, mb, usual)
		row("survey of a text log, all checks; peer: mawk, mean of one column", fmt.Sprintf("%d MB", mb),
			took(b, h.command("survey", "--file", log, "--interval", "50ms")),
			took(b, exec.Command("mawk", `{s+=$2} END {print s/NR}`, log)))
		require.NoError(b, os.Remove(log))
	}
	for _, mb := range []int{1, 10} {
		log := logOf(b, h, mb, func(n int) string {
			return fmt.Sprintf("{\"distance_cm\": %.1f, \"pump\": %v, \"uptime_s\": %d}\n", 80+float64(n%300)/10, n/300%2 == 1, n/20)
		})
		row("survey of a JSON log, all checks; peer: jq, the same column", fmt.Sprintf("%d MB", mb),
			took(b, h.command("survey", "--file", log, "--interval", "50ms")), took(b, exec.Command("jq", ".distance_cm", log)))
	}
	for _, n := range []int{10, 1_000, 10_000} {
		store := storeOf(b, h, n)
		row("list of visits; peer: sqlite3, the same table", fmt.Sprintf("%d visits", n),
			took(b, h.command("visits", "list", "--store", store)), took(b, exec.Command("sqlite3", store, "SELECT * FROM visits ORDER BY 1")))
	}
	for b.Loop() {
		time.Sleep(time.Millisecond) // the table is the result, not the time of this loop
	}
}

func row(work, size string, ours, peer time.Duration) {
	fmt.Printf("| %s | %s | %.3f | %.3f | %.1f |\n", work, size, ours.Seconds(), peer.Seconds(), ours.Seconds()/peer.Seconds())
}

// took is the best of three runs; an exit status of a survey is no failure.
func took(b *testing.B, cmd *exec.Cmd) time.Duration {
	best := time.Hour
	for range 3 {
		again := exec.Command(cmd.Path, cmd.Args[1:]...)
		again.Env, again.Dir = cmd.Env, cmd.Dir
		began := time.Now()
		_ = again.Run()
		best = min(best, time.Since(began))
		require.True(b, again.ProcessState.Exited() && again.ProcessState.ExitCode() != 2, "%s", cmd)
	}
	return best
}

func logOf(b *testing.B, h home, mb int, line func(n int) string) string {
	path := filepath.Join(h.dir, "log.txt")
	f, err := os.Create(path)
	require.NoError(b, err)
	w := bufio.NewWriter(f)
	for n, size := 0, 0; size < mb*1_000_000; n++ {
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
