package dialect

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/testdata/golden"
)

const feedReports = 120

// TestFeeds learns each feed of testdata/feeds and compares the dialect and the readings with its golden
// file. The golden files were read through by eye against the generators in feeds_test.go.
func TestFeeds(t *testing.T) {
	for name, f := range feeds() {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join("testdata", "feeds", name+".txt")
			if *golden.Update {
				var b strings.Builder
				for i := range feedReports {
					b.WriteString(f(i) + "\n")
				}
				golden.Write(t, path, b.String())
			}
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			golden.Equal(t, "feeds/"+name+".golden", understand(t, strings.Split(strings.TrimSuffix(string(data), "\n"), "\n")))
		})
	}
}

// understand learns the lines, and writes down the dialect and every tenth reading.
func understand(t *testing.T, lines []string) string {
	p := Learn(lines, nil)
	var b strings.Builder
	fmt.Fprintf(&b, "settled: %v\n%s", p.Settled, Format(p.Dialect))
	back, err := Parse("golden", []byte(Format(p.Dialect)))
	require.NoError(t, err, "a learned dialect can be read back")
	dec, err := NewDecoder(back)
	require.NoError(t, err)
	var out []livelevel.Reading
	for _, l := range lines {
		out = dec.Decode(out, []byte(l), time.Time{})
	}
	out = dec.End(out, time.Time{})
	for i, r := range out {
		if i%10 == 4 || r.Kind != livelevel.Report {
			b.WriteString(show(r) + "\n")
		}
	}
	fmt.Fprintf(&b, "%d items\n", len(out))
	return b.String()
}

func show(r livelevel.Reading) string {
	if r.Kind != livelevel.Report {
		return fmt.Sprintf("kind %d: %s", r.Kind, r.Text)
	}
	var s []string
	for role := range livelevel.RoleCount {
		if v, ok := r.Get(livelevel.Role(role)); ok {
			s = append(s, fmt.Sprintf("%v=%.6g", livelevel.Role(role), v))
		}
	}
	if r.EchoLost {
		s = append(s, "echo lost")
	}
	return strings.Join(s, " ")
}
