package dialect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
)

// TestAFaultyTankIsNoDamage plays whole lines that say odd things: spikes, lost echoes, a percent that
// follows a filter, restarts in the middle, words that were never seen. None of them may be refused.
func TestAFaultyTankIsNoDamage(t *testing.T) {
	formats := map[string]func(up int, d, p float64, lost bool, pump int) string{
		"text": func(up int, d, p float64, lost bool, pump int) string {
			if lost {
				return fmt.Sprintf("[%d] Distance: --- cm Level: %.0f %% Pump: %s", up, p, []string{"OFF", "ON"}[pump])
			}
			return fmt.Sprintf("[%d] Distance: %.1f cm Level: %.0f %% Pump: %s", up, d, p, []string{"OFF", "ON"}[pump])
		},
		"json": func(up int, d, p float64, lost bool, pump int) string {
			if lost {
				return fmt.Sprintf(`{"up_ms":%d,"dist_cm":null,"pct":%.1f,"pump":%d}`, up, p, pump)
			}
			return fmt.Sprintf(`{"up_ms":%d,"dist_cm":%.1f,"pct":%.1f,"pump":%d}`, up, d, p, pump)
		},
		"sentinel": func(up int, d, p float64, lost bool, pump int) string {
			if lost {
				d = -1
			}
			return fmt.Sprintf("up=%dms d=%.1fcm l=%.0f%% relay=%d", up, d, p, pump)
		},
	}
	for name, f := range formats {
		for seed := range uint64(5) {
			r := rand.New(rand.NewPCG(seed, 1))
			at := time.Unix(1e9, 0)
			var lines []string
			var times []time.Time
			up, filtered, lostN, boots := 3000, 50.0, 0, 0
			for i := range 1500 {
				d := 90 + 40*math.Sin(float64(i)/200) + 0.4*r.NormFloat64()
				if r.IntN(50) == 0 {
					d += 60 * r.Float64()
				}
				filtered += 0.2 * (100*(170-d)/135 - filtered)
				step := 180 + r.IntN(40)
				up += step
				at = at.Add(time.Duration(step) * time.Millisecond)
				if i%400 == 399 {
					lines, times = append(lines, "rst: power on, booting"), append(times, at.Add(2*time.Second))
					at, up = at.Add(3*time.Second), 900
					boots++
				}
				lost := i > 300 && r.IntN(12) == 0
				if lost {
					lostN++
				}
				lines, times = append(lines, f(up, d, filtered, lost, i/500%2)), append(times, at)
			}
			l := NewLearner(nil)
			for i := range 40 {
				l.Add([]byte(lines[i]), times[i])
			}
			p := l.Propose()
			require.True(t, p.Settled)
			dec, err := NewDecoder(p.Dialect)
			require.NoError(t, err)
			var out []livelevel.Reading
			for i, s := range lines {
				out = dec.Decode(out, []byte(s), times[i])
			}
			counts, lost := map[livelevel.Kind]int{}, 0
			for _, o := range out {
				counts[o.Kind]++
				if o.EchoLost {
					lost++
				}
				if o.Kind == livelevel.Rejected {
					t.Log(o.Text)
				}
			}
			assert.Equal(t, 0, counts[livelevel.Rejected], "%s %d", name, seed)
			assert.Equal(t, 1500, counts[livelevel.Report], "%s %d", name, seed)
			assert.Equal(t, boots, counts[livelevel.Restart], "%s %d", name, seed)
			assert.Equal(t, lostN, lost, "%s %d", name, seed)
		}
	}
}
