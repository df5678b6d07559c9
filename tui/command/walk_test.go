package command

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"time"

	"example.org/tankhand/faulttree/visit"
)

func TestBadAnswersOpenNoPort(t *testing.T) {
	path := filepath.Join(t.TempDir(), "answers.yaml")
	require.NoError(t, os.WriteFile(path, []byte("answers:\n  sensor-face: green\n"), 0o600))
	_, errs, status := run(t, "walk", "no-echo", "--port", "/dev/nowhere", "--answers", path, "--data", t.TempDir())
	require.Equal(t, 2, status)
	assert.Contains(t, errs, "answers.yaml:2:16")
	assert.NotContains(t, errs, "nowhere")
}

func TestWhereAndLicenceLimitWhatIsOffered(t *testing.T) {
	_, errs, status := run(t, "walk", "no-echo", "--rig", "trigger-open", "--rig-answers", "--where", "on the moon", "--data", t.TempDir())
	require.Equal(t, 2, status)
	assert.Contains(t, errs, "at-the-tank")
	out, errs, _ := run(t, "walk", "pump-wont-start", "--rig", "no-mains", "--rig-answers", "--no-mains", "--clock-rate", "800", "--data", t.TempDir())
	assert.NotContains(t, out, "CAUTION mains live", errs)
}

// TestTheFirmLearnsFromItsOwnVisits closes ten visits of real installations with one proven cause and
// looks at the priors: (30 x shipped + 10) / 40 for that cause (Dirichlet, by hand).
func TestTheFirmLearnsFromItsOwnVisits(t *testing.T) {
	data := t.TempDir()
	store, err := visit.Open(filepath.Join(data, "visits.db"))
	require.NoError(t, err)
	ctx, at := context.Background(), time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	for i := range 11 {
		id := uuid.NewString()
		for seq, body := range []visit.Body{
			visit.BegunBody{Site: "Quarry Lane glasshouse"},
			visit.ComplaintBody{ID: "no-echo"},
			visit.OutcomeBody{Outcome: visit.MendedProven, Cause: "joint-wet", Proven: "joint-wet", Invented: i == 10},
		} {
			e, err := visit.New(body)
			require.NoError(t, err)
			require.NoError(t, store.Append(ctx, e.Stamp(uuid.NewString(), id, int64(seq+1), at)))
		}
	}
	require.NoError(t, store.Close())
	base, err := loadKnowledge()
	require.NoError(t, err)
	p := &Program{data: data}
	shipped := 0.0
	for _, c := range base.Complaints {
		if c.ID == "no-echo" {
			shipped = c.Priors["joint-wet"]
		}
	}
	assert.InDelta(t, (30*shipped+10)/40, p.learned(base, "no-echo")["joint-wet"], 1e-9)
	assert.Nil(t, p.learned(base, "relay-chatter"))
	out, _, status := run(t, "tree", "no-echo", "--learned", "--data", data)
	require.Zero(t, status)
	assert.Contains(t, out, "10 closed visits")
}

// TestAVisitIsTakenUpAgain goes on with a recorded visit: without being told, it is judged by the site
// sheet that it was begun with.
func TestAVisitIsTakenUpAgain(t *testing.T) {
	data := t.TempDir()
	b := newBoard(t, "trigger-open")
	rate := []string{"--port", b.dev, "--clock-rate", "120", "--answers", answers(t, "no-echo", "trigger-open"), "--data", data, "--listen", "90s"}
	_, errs, status := run(t, append([]string{"walk", "no-echo", "--site", b.sheet}, rate...)...)
	require.Zero(t, status, errs)
	_, errs, status = run(t, append([]string{"walk", "no-echo", "--visit", "1"}, rate...)...)
	require.Zero(t, status, errs)
	out, _, _ := run(t, "visits", "list", "--data", data)
	assert.NotContains(t, out, "\n2 ", "it is still one visit")
	out, _, _ = run(t, "visits", "show", "1", "--data", data)
	assert.Contains(t, out, "visit-reopened")
	report, _, _ := run(t, "visits", "report", "1", "--format", "json", "--data", data)
	assert.True(t, strings.Count(report, "tankhand/site/1") >= 2, "the second feed is judged by the same sheet")
}

// A log is read to its end before the first step, however early a minute of it has gone by.
func TestAWalkHearsAWholeLog(t *testing.T) {
	var text strings.Builder
	for i := range 30000 {
		d := 1500 + i%3
		if i >= 1000 && i%2 == 0 {
			d = 0
		}
		fmt.Fprintf(&text, "ms=%d dist_mm=%d pump=0\n", i*500, d)
	}
	log := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(log, []byte(text.String()), 0o600))
	out, errs, _ := run(t, "walk", "no-echo", "--file", log, "--data", t.TempDir())
	assert.Contains(t, out, "14500 of 30000 pings lost", errs)
}
