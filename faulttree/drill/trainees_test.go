package drill_test

import (
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/drill"
)

// tally is how a trainee did over all lessons.
type tally struct {
	mu                            sync.Mutex
	lessons, right, wasted, lapse int
	minutes                       float64
}

func (t *tally) add(d drill.Debrief) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.lessons++
	if d.Right {
		t.right++
	}
	t.wasted += len(d.Wasted)
	t.lapse += len(d.Lapses)
	t.minutes += d.Minutes + d.Waited
}

// TestWhoFollowsTheLessonPassesAndWhoSwapsDoesWorse plays every lesson twice: with a trainee that does
// what the lesson says, and with one that asks nothing and always takes the first suspect's remedy.
func TestWhoFollowsTheLessonPassesAndWhoSwapsDoesWorse(t *testing.T) {
	all, err := drill.Lessons()
	require.NoError(t, err)
	var follows, swaps tally
	if testing.Short() { // a lesson in six, so that the race detector comes to an end
		all = slices.DeleteFunc(all, func(l *drill.Lesson) bool { return l.Seed%6 != 0 })
	}
	t.Run("all", func(t *testing.T) {
		for _, l := range all {
			t.Run(l.ID, func(t *testing.T) {
				t.Parallel()
				d := open(t, l)
				require.NoError(t, drill.Play(t.Context(), d.Session, &follower{d: d, path: l.Path}))
				got := d.debrief(t)
				assert.True(t, got.Right, "%s %v", got.Verdict, got.Outcome)
				assert.Empty(t, got.Wasted)
				assert.Empty(t, got.Lapses)
				follows.add(got)

				d = open(t, l)
				require.NoError(t, drill.Play(t.Context(), d.Session, &swapper{d: d}))
				swaps.add(d.debrief(t))
			})
		}
	})
	t.Logf("follows: %d of %d right, %d wasted, %.0f min; swaps: %d right, %d wasted, %.0f min",
		follows.right, follows.lessons, follows.wasted, follows.minutes, swaps.right, swaps.wasted, swaps.minutes)
	assert.Equal(t, follows.lessons, follows.right)
	assert.Zero(t, follows.wasted)
	assert.Less(t, swaps.right, follows.right)
	assert.Greater(t, swaps.wasted, swaps.lessons/4)
	assert.Greater(t, swaps.minutes, 1.2*follows.minutes)
}
