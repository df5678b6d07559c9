package command

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/drill"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/rig"
	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/tui/plain"
	"example.org/tankhand/tui/settings"
)

// kindOfFile is a good file that a person writes, and what reads it.
type kindOfFile struct {
	name, good string
	read       func(name string, data []byte) error
	every      int // of the mutations, one in so many is tried
}

func kindsOfFiles(t *testing.T) []kindOfFile {
	installation, err := rig.New(rig.Options{Seed: 1})
	require.NoError(t, err)
	base, err := knowledge.Load("")
	require.NoError(t, err)
	lesson, err := os.ReadFile("../../faulttree/drill/lessons/air-leak.yaml")
	require.NoError(t, err)
	board, err := dialect.Parse("b", []byte(wrongDialect))
	require.NoError(t, err)
	series := "series:\n  - {tape: 0.50 m, gauge: 0.512 m}\n  - {tape: 1.00 m, gauge: 1.010 m, way: up}\n  - {tape: 0.60 m, gauge: 0.611 m, way: down}\n"
	return []kindOfFile{
		{"site sheet", installation.SheetText(), func(n string, d []byte) error { _, err := site.Parse(n, d); return err }, 1},
		{"dialect", dialect.Format(board), func(n string, d []byte) error { _, err := dialect.Parse(n, d); return err }, 1},
		{"answers", "answers: {sensor-volts: 4.1 V, sensor-face: wet or dirty}\n", func(n string, d []byte) error { _, err := plain.ParseAnswers(n, d, base); return err }, 1},
		{"settings", settings.Format(settings.Settings{}), func(n string, d []byte) error { _, err := settings.Parse(n, d); return err }, 1},
		{"lesson", string(lesson), func(_ string, d []byte) error { _, err := drill.Parse("air-leak.yaml", d); return err }, 1},
		{"dip series", series, readSeries(t), 1},
		{"knowledge", "complaint: no-echo\npriors: {tilt: 4, face-wet: 2}\n", func(n string, d []byte) error {
			_, _, err := knowledge.LintAll(fstest.MapFS{"no-echo.yaml": {Data: d}}, "firm")
			return err
		}, 15},
	}
}

const wrongDialect = `dialect: tankhand/dialect/1
name: workshop-board
kind: text
fields:
  - {role: ullage, at: "Distance", unit: cm, lost: [0, -1, "out of range"]}
  - {role: pump, at: "Pump", on: [ON, "1"], off: [OFF, "0"]}
restart: ["start-up"]
`

func readSeries(t *testing.T) func(string, []byte) error {
	return func(name string, data []byte) error {
		path := filepath.Join(t.TempDir(), name)
		require.NoError(t, os.WriteFile(path, data, 0o600))
		_, err := readDips(path)
		return err
	}
}

// wrongValues stand where a value should.
var wrongValues = []string{"", "[1, 2]", "{a: b}", "-1e999 m", "99999999999999999999999", "~", `"never closed`, "*nobody", "&a [*a]", "\x00", "\xff\xfe", "٣ m", "1.75 furlong", "!!binary aGk="}

// mutations are ways in which a good file goes wrong under a person's hands, or a disk's.
func mutations(good string) []string {
	lines := strings.SplitAfter(good, "\n")
	with := func(i int, text string) string {
		return strings.Join(lines[:i], "") + text + strings.Join(lines[min(i+1, len(lines)):], "")
	}
	var out []string
	for i, l := range lines {
		out = append(out, with(i, ""), with(i, l+l), with(i, " "+l), with(i, "\t"+l), with(i, strings.ToUpper(l)), with(i, "- "+l), with(i, strings.ReplaceAll(l, ":", "")))
		key, _, ok := strings.Cut(l, ":")
		for _, v := range wrongValues {
			if ok {
				out = append(out, with(i, key+": "+v+"\n"), with(i, key+"x: "+v+"\n"))
			}
		}
	}
	for i := 0; i < len(good); i += 1 + len(good)/80 {
		out = append(out, good[:i], good[:i]+"\x1b[2J"+good[i:], good[i:])
	}
	return out
}

var place = regexp.MustCompile(`(bad|no-echo|air-leak)\.yaml:\d+`)

// TestFilesThatAreWrongInEveryWay: each mistake is told with its file and line, or does no harm.
func TestFilesThatAreWrongInEveryWay(t *testing.T) {
	for _, k := range kindsOfFiles(t) {
		t.Run(k.name, func(t *testing.T) {
			require.NoError(t, k.read("bad.yaml", []byte(k.good)), "the good one")
			refused, tried := 0, 0
			for i, text := range mutations(k.good) {
				if i%k.every != 0 {
					continue
				}
				tried++
				var err error
				require.NotPanics(t, func() { err = k.read("bad.yaml", []byte(text)) }, "%q", text)
				if err == nil {
					continue
				}
				refused++
				assert.Regexp(t, place, err.Error(), "%q", text)
				assert.NotContains(t, err.Error(), "\x1b", "an escape sequence came through: %q", text)
			}
			t.Logf("%d ways, %d refused with their place", tried, refused)
			assert.Greater(t, refused, tried/5)
		})
	}
}

func FuzzDips(f *testing.F) {
	f.Add([]byte("series:\n  - {tape: 0.50 m, gauge: 0.512 m, way: up}\n"))
	f.Add([]byte("series: {tape: 1}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		path := filepath.Join(t.TempDir(), "series.yaml")
		require.NoError(t, os.WriteFile(path, data, 0o600))
		points, err := readDips(path)
		if err == nil && len(points) > len(data) {
			t.Fatal("points out of nothing")
		}
	})
}
