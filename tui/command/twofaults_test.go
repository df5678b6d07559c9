package command

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/tui/plain"
)

// TestTwoFaultsAreMendedOneAfterTheOther: the first remedy passes its own proof, but the complaint stays; what
// spoke of the first is dropped, and the walk goes on to the second and proves it.
func TestTwoFaultsAreMendedOneAfterTheOther(t *testing.T) {
	for _, tc := range []struct{ complaint, first, second string }{
		{"no-echo", "trigger-open", "face-wet"},
		{"relay-chatter", "hyst-small", "button-float"},
	} {
		t.Run(tc.complaint, func(t *testing.T) {
			t.Parallel()
			out, errs, status := run(t, "walk", tc.complaint, "--rig", tc.first+","+tc.second, "--rig-answers", "--clock-rate", "400",
				"--listen", "3m", "--json", "--data", t.TempDir())
			require.Zero(t, status, errs)
			var walk plain.Result
			require.NoError(t, json.Unmarshal([]byte(out), &walk), out)
			var done []string
			for _, l := range walk.Steps {
				if l.Remedy != "" && l.Answer == "done" {
					done = append(done, l.Remedy)
				}
			}
			assert.Equal(t, []string{tc.first, tc.second}, done)
			assert.Equal(t, tc.second, *walk.Cause)
		})
	}
}
