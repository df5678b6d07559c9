//go:build unix

package command

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/tui/screentest"
)

// TestSiteNewAsksOnATerminal answers the few questions on a pseudo-terminal, one of them wrongly first,
// and checks the sheet that was written.
func TestSiteNewAsksOnATerminal(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tank.yaml")
	screen := screentest.StartFunc(t, 100, 40, func(tty *os.File) error {
		p := &Program{In: tty, Out: tty, Err: tty, Version: "test"}
		if status := p.Run([]string{"site", "new", "--out", path}); status != 0 {
			return fmt.Errorf("exit status %d", status)
		}
		return nil
	})
	for _, step := range []struct{ ask, answer string }{
		{"Shape of the tank", "box"}, {"Name of the site", "Quarry Lane glasshouse"}, {"Number of this installation", "HT-9"},
		{"Is it drinking water?", "no"}, {"Inside length", "2.00"}, {"it has no unit", "2.00 m"}, {"Inside width", "1.50 m"},
		{"Inside height", "1.60 m"}, {"Kind of sensor", "sealed single"}, {"Transducer face above", "1.75 m ± 5 mm (measured)"},
		{"Full mark", "0.35 m"}, {"Empty mark", "1.70 m"}, {"The pump starts below", "40 %"}, {"The pump stops at", ""},
		{"Is there mains voltage", "yes"}, {"What the pump brought", "2.3 m3/h"},
	} {
		screen.WaitFor(step.ask)
		screen.Type(step.answer, "<enter>")
	}
	require.NoError(t, screen.Wait())
	out, errs, status := run(t, "site", "check", path)
	require.Contains(t, []int{0, 1}, status, errs)
	require.Contains(t, out, "HT-9")
	require.Contains(t, out, "capacity: 4.8 m3")
}

func TestSiteCheckSaysEveryMistakeAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tank.yaml")
	require.NoError(t, os.WriteFile(path, []byte("sheet: tankhand/site/1\ntank: {shape: vertical cylinder, diametre: 1.1 m, height: -2 m}\nsensor: {face_height: 175 kg}\n"), 0o600))
	_, errs, status := run(t, "site", "check", path)
	require.Equal(t, 2, status)
	for _, want := range []string{":2:34", "diameter", ":2:", "height", ":3:", "face_height"} {
		require.Contains(t, errs, want)
	}
}

// TestADipSeriesIsKeptOnTheVisit compares five levels by the tape with the gauge and keeps them.
func TestADipSeriesIsKeptOnTheVisit(t *testing.T) {
	data, series := t.TempDir(), filepath.Join(t.TempDir(), "series.yaml")
	require.NoError(t, os.WriteFile(series, []byte(`series:
  - {tape: 0.50 m, gauge: 0.512 m}
  - {tape: 0.80 m, gauge: 0.814 m}
  - {tape: 1.10 m, gauge: 1.118 m}
  - {tape: 0.80 m, gauge: 0.810 m}
  - {tape: 0.50 m, gauge: 0.510 m}
`), 0o600))
	_, errs, status := run(t, "walk", "no-echo", "--rig", "trigger-open", "--rig-answers", "--data", data)
	require.Zero(t, status, errs)
	out, errs, status := run(t, "dip", series, "--when", "found", "--visit", "1", "--data", data)
	require.Zero(t, status, errs)
	// By hand: 0.814 rising against 0.810 falling at one level; the worst error is 1.118 - 1.100.
	require.Contains(t, out, "hysteresis         +4.0 mm")
	require.Contains(t, out, "greatest error     +18.0 mm")
	out, _, status = run(t, "visits", "report", "1", "--data", data)
	require.Zero(t, status)
	require.Contains(t, out, "Dip tape against the gauge")
	out, _, _ = run(t, "visits", "show", "1", "--data", data)
	require.Contains(t, out, "as found: 5 levels by the tape, greatest error 18.0 mm")
}
