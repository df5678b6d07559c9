package visit

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestBehaviourTakesWhatWasMeasured(t *testing.T) {
	b := &FindingsBody{Findings: []FindingRecord{
		{Check: "reading-spread", Figures: []FigureRecord{{Name: "spread_m", Value: p(0.004)}}},
		{Check: "fill-rate", Figures: []FigureRecord{{Name: "fill_m3_per_h", Value: nil}}},
		{Check: "relay-switching", Figures: []FigureRecord{{Name: "switches", Value: p(10)}}, From: begun, To: begun.Add(6 * time.Hour)},
		{Check: "other", Figures: []FigureRecord{{Name: "restarts", Value: p(1)}}},
	}}
	assert.Equal(t, Behaviour{"spread_m": 0.004, SwitchesPerDay: 40}, b.Behaviour())
	b.Findings[2].To = begun.Add(10 * time.Minute)
	assert.NotContains(t, b.Behaviour(), SwitchesPerDay, "ten minutes say nothing of a day")
	assert.Empty(t, (*FindingsBody)(nil).Behaviour())
}

func TestCausesCountClosedVisitsOnce(t *testing.T) {
	stores(t, func(t *testing.T, store Store) { countCauses(t, store.(teller)) })
}

// teller is what the stores that speak SQL can tell of all visits.
type teller interface {
	Store
	Causes(context.Context) ([]CauseMet, error)
	AssetVisits(ctx context.Context, site, asset string) ([]Summary, error)
}

func countCauses(t *testing.T, s teller) {
	for i := range 5 {
		id := fmt.Sprintf("v%d", i)
		require.NoError(t, s.Append(ctx, event(t, id, 1, ComplaintBody{ID: "no-echo"}),
			event(t, id, 2, OutcomeBody{Outcome: MendedOnly, Cause: "face-wet", Minutes: 10}), event(t, id, 3, ReopenedBody{}),
			event(t, id, 4, OutcomeBody{Outcome: MendedProven, Cause: []string{"trigger-open", "face-wet"}[i%2], Proven: "trigger-open", Minutes: float64(10 * i), Prior: p(0.2)})))
	}
	require.NoError(t, s.Append(ctx, event(t, "v4", 5, ReopenedBody{}))) // open again: not counted
	require.NoError(t, s.Append(ctx, event(t, "v9", 1, BegunBody{Site: "s", Asset: "a"})))
	got, err := s.Causes(ctx)
	require.NoError(t, err)
	assert.Equal(t, []CauseMet{{Complaint: "no-echo", Cause: "face-wet", Visits: 2, Minutes: 20, Prior: p(0.2)},
		{Complaint: "no-echo", Cause: "trigger-open", Visits: 2, Proven: 2, Minutes: 10, Prior: p(0.2)}}, got)
	list, err := s.AssetVisits(ctx, "s", "a")
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, "v9", list[0].ID)
}
