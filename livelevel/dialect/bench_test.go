package dialect

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
)

// BenchmarkDecode shows speed and allocations by itself.
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

// ofColumn is mean, least and greatest of the distance.
type ofColumn struct {
	sum, low, high float64
	n              int
}

func (c *ofColumn) decode(dec *Decoder, data []byte, out []livelevel.Reading) []livelevel.Reading {
	for len(data) > 0 {
		i := bytes.IndexByte(data, '\n')
		out = dec.Decode(out[:0], data[:i], time.Time{})
		for k := range out {
			if u, ok := out[k].Get(livelevel.Ullage); ok {
				c.sum += u
				c.low, c.high = min(c.low, u), max(c.high, u)
				c.n++
			}
		}
		data = data[i+1:]
	}
	return out
}

func learned(b *testing.B, data []byte) *Decoder {
	l := NewLearner(nil)
	for _, line := range bytes.SplitN(data, []byte("\n"), 300)[:299] {
		l.Add(line, time.Time{})
	}
	dec, err := NewDecoder(l.Propose().Dialect)
	require.NoError(b, err)
	return dec
}

func benchDecode(b *testing.B, f func(int) string) {
	data := benchFile(f)
	dec := learned(b, data)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	out := make([]livelevel.Reading, 0, 4)
	var c ofColumn
	for b.Loop() {
		out = c.decode(dec, data, out)
	}
	b.ReportMetric(float64(c.n)/b.Elapsed().Seconds(), "lines/s")
}

// awkColumn is the program that does the same with one column.
const awkColumn = `{v=%s+0; s+=v; if(NR==1||v<a)a=v; if(v>m)m=v} END{print s/NR,a,m}`

// BenchmarkBeside reads a file, decodes it whole, and takes mean, least and greatest of the distance; in
// turns with it mawk does that with its one column, or jq. The best of each is compared, so that what else
// the machine does counts little: the goal is 2 against mawk, 5 against jq.
func BenchmarkBeside(b *testing.B) {
	beside(b, "keys", "mawk", "-F[= ]", fmt.Sprintf(awkColumn, "$4"))
	beside(b, "csv", "mawk", "-F,", fmt.Sprintf(awkColumn, "$2"))
	beside(b, "json", "jq", "-n", jqColumn)
}

func beside(b *testing.B, feed, tool string, args ...string) {
	b.Run(feed, func(b *testing.B) {
		path, err := exec.LookPath(tool)
		if err != nil {
			b.Skip(err)
		}
		file := filepath.Join(b.TempDir(), "feed")
		require.NoError(b, os.WriteFile(file, benchFile(labelled[feed]), 0o600))
		data, err := os.ReadFile(file)
		require.NoError(b, err)
		dec := learned(b, data)
		out := make([]livelevel.Reading, 0, 4)
		var c ofColumn
		ours, theirs := time.Hour, time.Hour
		for b.Loop() {
			start := time.Now()
			f, err := os.Open(file)
			require.NoError(b, err)
			_, err = io.ReadFull(f, data)
			require.NoError(b, err)
			f.Close()
			out = c.decode(dec, data, out)
			ours = min(ours, time.Since(start))
			start = time.Now()
			require.NoError(b, exec.Command(path, append(args, file)...).Run())
			theirs = min(theirs, time.Since(start))
		}
		b.ReportMetric(benchLines/ours.Seconds(), "lines/s")
		b.ReportMetric(theirs.Seconds()/ours.Seconds(), "x-"+tool)
	})
}

const jqColumn = "reduce inputs.dist_mm as $v ([0,1e9,-1e9,0];[.[0]+$v,([.[1],$v]|min),([.[2],$v]|max),.[3]+1])"
