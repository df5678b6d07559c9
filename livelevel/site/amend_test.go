package site

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAmendKeepsWhatItsAuthorWrote(t *testing.T) {
	for _, c := range []struct{ path, text, from, to string }{
		{"dialect", "north-board", "dialect: workshop-board", "dialect: north-board"},
		{"marks.full", "0.40 m (measured)", "  full: 0.35 m", "  full: 0.40 m (measured)"},
		{"pump.healthy_flow", "2.1 m3/h ± 0.1 m3/h", "healthy_flow: 2.3 m3/h,", "healthy_flow: 2.1 m3/h ± 0.1 m3/h,"},
		{"sensor.tilt", "2 deg", "sensor:\n", "sensor:\n  tilt: 2 deg\n"},
		{"controller.restart_delay", "30 s", "controller:\n", "controller:\n  restart_delay: 30 s\n"},
		{"sensor.kind", "unknown", "kind: sealed single", "kind: unknown"},
		{"sensor.range", "unknown", "range: 4.5 m", "range: unknown"},
		{"controller.mains_in_box", "no", "mains_in_box: yes", `mains_in_box: "no"`},
		{"asset", "no: 7", "asset: HT-2", `asset: "no: 7"`},
	} {
		out, err := Amend("site.yaml", []byte(quarryLane), c.path, c.text)
		require.NoError(t, err, c.path)
		assert.Equal(t, strings.Replace(quarryLane, c.from, c.to, 1), string(out), c.path)
	}
}

func TestAmendAddsWhatIsNotThere(t *testing.T) {
	for _, c := range []struct{ before, path, text, after string }{
		{minimal("# the end\n"), "dialect", "north-board", minimal("# the end\ndialect: north-board\n")},
		{minimal(""), "marks.full", "35 cm", minimal("marks:\n  full: 35 cm\n")},
		{minimal("marks:   # none yet\n"), "marks.full", "35 cm", minimal("marks:   # none yet\n  full: 35 cm\n")},
		{minimal("marks: {}\n"), "marks.full", "35 cm", minimal("marks: {full: 35 cm}\n")},
		{minimal("marks: {empty: 1 m}\n"), "marks.full", "35 cm", minimal("marks: {full: 35 cm, empty: 1 m}\n")},
		{minimal("marks:\n  full:\n"), "marks.full", "35 cm", minimal("marks:\n  full: 35 cm\n")},
		{minimal("dialect: 'it''s'  # old\n"), "dialect", "new", minimal("dialect: new  # old\n")},
		{minimal("dialect: \"a \\\" b\"\n"), "dialect", "new", minimal("dialect: new\n")},
	} {
		out, err := Amend("site.yaml", []byte(c.before), c.path, c.text)
		require.NoError(t, err, c.before)
		assert.Equal(t, c.after, string(out))
	}
}

func TestAmendRefusesWhatItCannotDo(t *testing.T) {
	for _, c := range []struct{ before, path, text string }{
		{"sheet: [", "dialect", "x"}, {minimal(""), "marks.full", "35"}, {minimal(""), "marks.top", "35 cm"},
		{minimal("dialect: |\n  a\n  b\n"), "dialect", "x"}, {minimal("dialect: a\n  b\n"), "dialect", "x"},
		{minimal(""), "tank.shape", "sphere"}, // the other sizes do not fit it
	} {
		_, err := Amend("site.yaml", []byte(c.before), c.path, c.text)
		assert.Error(t, err, c.before)
	}
}

// FuzzAmend: whatever the sheet, the result says what was asked for, or there is an error.
func FuzzAmend(f *testing.F) {
	for _, s := range []string{quarryLane, Template, minimal("marks: {}\n"), minimal("dialect: 'x'\n")} {
		f.Add([]byte(s), "dialect", "north-board")
		f.Add([]byte(s), "marks.full", "0.4 m")
		f.Add([]byte(s), "pump.rated_flow", "1 l/s")
	}
	f.Fuzz(func(t *testing.T, data []byte, path, text string) {
		out, err := Amend("f", data, path, text)
		if err != nil {
			return
		}
		_, err = Parse("f", out)
		require.NoError(t, err)
	})
}
