package command

import (
	"context"
	"os"
	"path/filepath"
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
		for seq, body := range []struct {
			kind visit.Kind
			body visit.Body
		}{
			{visit.VisitBegun, visit.BegunBody{Site: "Quarry Lane glasshouse"}},
			{visit.ComplaintSet, visit.ComplaintBody{ID: "no-echo"}},
			{visit.OutcomeMade, visit.OutcomeBody{Outcome: visit.MendedProven, Cause: "joint-wet", Proven: "joint-wet", Invented: i == 10}},
		} {
			e, err := visit.New(body.kind, body.body)
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
