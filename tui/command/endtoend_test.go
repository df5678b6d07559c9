package command

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/livelevel/rig"
	"example.org/tankhand/tui/plain"
)

// board is a practice rig at the far end of a pseudo-terminal, faster than the clock: to the program
// it is a serial port like any other.
type board struct {
	*practice
	dev   string
	sheet string // path of its site sheet
}

// boardPace is how many times faster than the clock a board of these tests lives.
const boardPace = 120

func install(t *testing.T, faults ...string) *rig.Installation {
	t.Helper()
	options := rig.Options{Seed: 7}
	for _, text := range faults {
		f, err := rig.ParseFault(text)
		require.NoError(t, err)
		options.Faults = append(options.Faults, f)
	}
	installation, err := rig.New(options)
	require.NoError(t, err)
	return installation
}

func newBoard(t *testing.T, faults ...string) *board {
	t.Helper()
	installation := install(t, faults...)
	pair, err := port.Terminal()
	require.NoError(t, err)
	b := &board{practice: &practice{rig: installation}, dev: pair.Name(), sheet: filepath.Join(t.TempDir(), "site.yaml")}
	require.NoError(t, os.WriteFile(b.sheet, []byte(installation.SheetText()), 0o600))
	ctx, stop := context.WithCancel(context.Background())
	spoken := make(chan struct{})
	go func() {
		defer close(spoken)
		b.speak(ctx, pair)
	}()
	t.Cleanup(func() {
		stop()
		<-spoken
		pair.Close()
	})
	return b
}

// speak plays the board from the moment on at which its port is first read: at this pace the seconds that a
// busy machine takes to open it would be minutes of the board, and the only run of the pump with them.
func (b *board) speak(ctx context.Context, pair *port.Pair) {
	_, _ = pair.Write([]byte("\r\n"))
	for !pair.Heard() && ctx.Err() == nil {
		until(ctx, time.Now().Add(time.Millisecond))
	}
	began := time.Now()
	for at := time.Duration(0); ctx.Err() == nil; at += rigStep {
		if !until(ctx, began.Add(at/boardPace)) {
			return
		}
		if data := b.Advance(rigStep); len(data) > 0 {
			_, _ = pair.Write(data)
		}
	}
}

// answers is the file a technician would write who looked at everything that the complaint asks for,
// a quarter of an hour after the board came to life.
func answers(t *testing.T, complaint string, faults ...string) string {
	t.Helper()
	b := install(t, faults...)
	require.NoError(t, b.Connect())
	b.Advance(15 * time.Minute)
	base, err := loadKnowledge()
	require.NoError(t, err)
	var text strings.Builder
	text.WriteString("answers:\n")
	for _, c := range base.Complaints {
		if c.ID != complaint {
			continue
		}
		for _, id := range c.Probes {
			p := base.Probes[id]
			if p.Kind == "watch" {
				continue
			}
			word, value, ok := b.Answer(id, p.Answers)
			switch {
			case !ok:
			case p.Unit != "" && !math.IsNaN(value):
				fmt.Fprintf(&text, "  %s: %q\n", id, fmt.Sprintf("%.4g %s", value, p.Unit))
			default:
				fmt.Fprintf(&text, "  %s: %q\n", id, word)
			}
		}
	}
	path := filepath.Join(t.TempDir(), "answers.yaml")
	require.NoError(t, os.WriteFile(path, []byte(text.String()), 0o600))
	return path
}

// run runs the program in this process and returns what it wrote.
func run(t *testing.T, args ...string) (out, err string, status int) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	p := &Program{In: strings.NewReader(""), Out: &stdout, Err: &stderr, Version: "test"}
	status = p.Run(args)
	return stdout.String(), stderr.String(), status
}

// TestFromBytesToRecord plays a board into one end of a pseudo-terminal and drives the program at
// the other end: the fault comes in midway, the walk names it, the visit is on record.
func TestFromBytesToRecord(t *testing.T) {
	for _, tc := range []struct{ complaint, cause, fault, listen string }{
		{"no-echo", "trigger-open", "trigger-open@30s", "3m"},
		{"erratic-reading", "inlet-stream", "inlet-stream@10s:0.9", "8m"},
		{"relay-chatter", "hyst-small", "hyst-small@60s", "10m"},
		{"pump-runs-dry", "source-empty", "source-empty@20s", "6m"},
	} {
		t.Run(tc.complaint, func(t *testing.T) {
			t.Parallel()
			data := t.TempDir()
			b := newBoard(t, tc.fault)
			out, errs, status := run(t, "walk", tc.complaint, "--port", b.dev, "--clock-rate", fmt.Sprint(boardPace), "--site", b.sheet,
				"--answers", answers(t, tc.complaint, tc.fault), "--listen", tc.listen, "--data", data, "--json", "--words", "it does not do what it should")
			require.Zero(t, status, "%s\n%s", errs, out)
			var result plain.Result
			require.NoError(t, json.Unmarshal([]byte(out), &result), out)
			require.Equal(t, "named", result.Outcome)
			require.NotNil(t, result.Cause)
			require.Equal(t, tc.cause, *result.Cause, out)

			list, _, status := run(t, "visits", "list", "--data", data)
			require.Zero(t, status)
			require.Contains(t, list, "Quarry Lane")
			require.Contains(t, list, tc.complaint)
			report := filepath.Join(data, "report.md")
			_, errs, status = run(t, "visits", "report", "1", "--format", "markdown", "--out", report, "--data", data)
			require.Zero(t, status, errs)
			text, err := os.ReadFile(report)
			require.NoError(t, err)
			require.Contains(t, string(text), "Quarry Lane")
			require.Contains(t, string(text), "it does not do what it should")
		})
	}
}
