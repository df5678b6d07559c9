package drill_test

import (
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/drill"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
)

// At 238 words a minute (Brysbaert 2019, from memory) these 24 words take 6 s to read; a quarter of that
// is given.
const caution = "Work at height: a tied ladder or a platform, three points of contact, nobody below. Not in wind or lightning. Ask when in any doubt."

// TestACautionThatNobodyCanHaveRead: acknowledged too fast it is told in the debrief; read once, it need
// not be read again.
func TestACautionThatNobodyCanHaveRead(t *testing.T) {
	base, err := knowledge.Load("")
	require.NoError(t, err)
	for name, tc := range map[string]struct {
		took   []time.Duration
		lapses int
	}{
		"read":                {[]time.Duration{7 * time.Second}, 0},
		"skimmed":             {[]time.Duration{2 * time.Second}, 0},
		"not read":            {[]time.Duration{300 * time.Millisecond}, 1},
		"read, then known":    {[]time.Duration{7 * time.Second, 300 * time.Millisecond}, 0},
		"not read, then told": {[]time.Duration{300 * time.Millisecond, 300 * time.Millisecond}, 1},
	} {
		t.Run(name, func(t *testing.T) {
			at, id, seq := begins, uuid.NewString(), int64(0)
			var events []visit.Event
			add := func(body visit.Body) {
				e, err := visit.New(body)
				require.NoError(t, err)
				seq++
				events = append(events, e.Stamp(uuid.NewString(), id, seq, at))
			}
			add(visit.BegunBody{Site: "Quarry Lane glasshouse"})
			for _, took := range tc.took {
				add(visit.ShownBody{Probe: "sensor-face", Title: "Sensor face"})
				at = at.Add(took)
				add(visit.CautionBody{Step: "probe sensor-face", Cautions: []visit.CautionRecord{{Hazard: "height", Text: caution}}})
			}
			d, err := drill.Ended(events, drill.Log{}, drill.Options{Lesson: lesson(t, "healthy"), Base: base})
			require.NoError(t, err)
			require.Len(t, d.Lapses, tc.lapses)
			if tc.lapses > 0 {
				assert.Equal(t, []string{"height"}, d.Lapses[0].Hazards)
				assert.Contains(t, d.Text(), "after 0.3 s")
			}
		})
	}
}
