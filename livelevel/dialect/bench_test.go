package dialect

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
)

// BenchmarkDecode reads a million lines a round less; lines/s is what to compare with BenchmarkAwk and
// BenchmarkJq, which compute mean, least and greatest of one column of the same file.
func BenchmarkDecode(b *testing.B) {
	for _, name := range []string{"keys", "csv", "json", "prose"} {
		b.Run(name, func(b *testing.B) { benchDecode(b, labelled[name]) })
	}
}

const benchLines = 100_000

func benchFile(f func(int) string) []byte {
	var buf bytes.Buffer
	for i := range benchLines {
		fmt.Fprintln(&buf, f(i))
	}
	return buf.Bytes()
}

func benchDecode(b *testing.B, f func(int) string) {
	data := benchFile(f)
	l := NewLearner(nil)
	for _, line := range bytes.SplitN(data, []byte("\n"), 300)[:299] {
		l.Add(line, time.Time{})
	}
	dec, err := NewDecoder(l.Propose().Dialect)
	require.NoError(b, err)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	out := make([]livelevel.Reading, 0, 4)
	var low, high, sum float64
	n := 0
	for b.Loop() {
		for rest := data; len(rest) > 0; {
			i := bytes.IndexByte(rest, '\n')
			out = dec.Decode(out[:0], rest[:i], time.Time{})
			for k := range out {
				if u, ok := out[k].Get(livelevel.Ullage); ok {
					sum += u
					low, high = min(low, u), max(high, u)
					n++
				}
			}
			rest = rest[i+1:]
		}
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "lines/s")
}

func BenchmarkAwk(b *testing.B) {
	prog := `{v=%s+0; s+=v; if(NR==1||v<a)a=v; if(v>m)m=v} END{print s/NR,a,m}`
	benchTool(b, "keys", "mawk", "-F[= ]", fmt.Sprintf(prog, "$4"))
	benchTool(b, "csv", "mawk", "-F,", fmt.Sprintf(prog, "$2"))
}

func BenchmarkJq(b *testing.B) {
	benchTool(b, "json", "jq", "-n", "reduce inputs.dist_mm as $v ([0,1e9,-1e9,0];[.[0]+$v,([.[1],$v]|min),([.[2],$v]|max),.[3]+1])")
}

func benchTool(b *testing.B, feed, tool string, args ...string) {
	b.Run(feed, func(b *testing.B) {
		path, err := exec.LookPath(tool)
		if err != nil {
			b.Skip(err)
		}
		file := filepath.Join(b.TempDir(), "feed")
		require.NoError(b, os.WriteFile(file, benchFile(labelled[feed]), 0o600))
		n := 0
		for b.Loop() {
			require.NoError(b, exec.Command(path, append(args, file)...).Run())
			n += benchLines
		}
		b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "lines/s")
	})
}
