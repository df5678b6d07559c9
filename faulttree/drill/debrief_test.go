package drill_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/drill"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/testdata/golden"
)

// TestDebriefs holds the debriefs of two trainees, of a healthy installation and of two faults at once
// against golden files. Minutes that were only waited depend on the machine and are left out.
func TestDebriefs(t *testing.T) {
	for _, tt := range []struct {
		id     string
		swaps  bool
		golden string
	}{
		{"face-wet", false, "face-wet-follows"}, {"face-wet", true, "face-wet-swaps"},
		{"healthy", false, "healthy-follows"}, {"two-worn-pump-high-draw", false, "two-follows"},
	} {
		t.Run(tt.golden, func(t *testing.T) {
			t.Parallel()
			d := open(t, lesson(t, tt.id))
			var p drill.Player = &follower{d: d, path: d.opt.Lesson.Path}
			if tt.swaps {
				p = &swapper{d: d}
			}
			require.NoError(t, drill.Play(t.Context(), d.Session, p))
			got := d.debrief(t)
			got.Waited = 0
			golden.Equal(t, tt.golden+".txt", got.Text())
			golden.Equal(t, tt.golden+".md", got.Markdown())
			for _, line := range strings.Split(got.Text(), "\n") {
				assert.LessOrEqual(t, len([]rune(line)), 79, line)
			}
		})
	}
}

// TestAHintCostsAndSaysMore: the next question, two causes, the cause.
func TestAHintCostsAndSaysMore(t *testing.T) {
	d := open(t, lesson(t, "face-wet"))
	_, err := d.Hint(t.Context())
	require.Error(t, err, "before the walk there is nothing to hint at")
	require.NoError(t, d.Listened(t.Context()))
	require.NoError(t, d.Do(t.Context(), visit.SetComplaint{ID: "no-echo"}))
	for _, want := range []string{"Ask this: ", "It is one of these two: ", "It is this: Drops"} {
		got, err := d.Hint(t.Context())
		require.NoError(t, err)
		assert.Contains(t, got, want)
	}
	assert.InDelta(t, 4+8+15, d.Log().Minutes, 1e-9)
}

func TestAnExamGivesNoHints(t *testing.T) {
	d := open(t, lesson(t, "face-wet"))
	exam := drill.Begin(d.Session, d.inst, drill.Options{Lesson: d.opt.Lesson, Base: d.opt.Base, Exam: true})
	_, err := exam.Hint(t.Context())
	require.ErrorContains(t, err, "no hints")
	assert.True(t, exam.NoHints())
}

// debriefOf is one at a day.
func debriefOf(lesson string, day int, right bool, hints int) visit.DrillAt {
	return visit.DrillAt{At: begins.AddDate(0, 0, day), DrillBody: visit.DrillBody{Lesson: lesson, Trainee: "ana", Right: right, Hints: hints, Minutes: 30}}
}

func TestWhatWasMissedReturnsSooner(t *testing.T) {
	all, err := drill.Lessons()
	require.NoError(t, err)
	p := drill.ProgressOf("ana", all, []visit.DrillAt{
		debriefOf("brownout", 0, true, 0), debriefOf("face-wet", 1, false, 0), debriefOf("waves", 2, true, 1),
		{At: begins, DrillBody: visit.DrillBody{Lesson: "foam", Trainee: "ben"}},
	})
	assert.Equal(t, 3, p.Drills, "another trainee's do not count")
	now := begins.AddDate(0, 0, 2)
	next := p.Next(0, 1, now)
	require.NotNil(t, next)
	assert.Equal(t, "face-wet", next.ID, "missed: it is due at once")

	p = drill.ProgressOf("ana", all, []visit.DrillAt{debriefOf("face-wet", 0, true, 0), debriefOf("face-wet", 7, true, 0)})
	for _, c := range p.Cards {
		if c.Lesson.ID == "face-wet" {
			assert.True(t, c.Mastered())
			assert.Equal(t, begins.AddDate(0, 0, 14), c.Due, "each success rests longer")
		}
	}
	fresh := p.Next(2, 1, now)
	assert.Equal(t, 2, fresh.Difficulty, "the level asked for")
	assert.Equal(t, fresh, p.Next(2, 1, now), "the same seed draws the same")
	golden.Equal(t, "progress.txt", p.Text(now))
}

func TestDraw(t *testing.T) {
	all, err := drill.Lessons()
	require.NoError(t, err)
	for seed := range uint64(50) {
		drawn := drill.Draw(all, seed)
		require.Len(t, drawn, drill.Questions)
		levels, ids, complaints := map[int]int{}, map[string]bool{}, map[string]bool{}
		for _, l := range drawn {
			levels[l.Difficulty]++
			ids[l.ID], complaints[l.Complaint] = true, true
		}
		assert.Equal(t, map[int]int{1: 4, 2: 3, 3: 3}, levels)
		assert.Len(t, ids, drill.Questions, "none twice")
		assert.GreaterOrEqual(t, len(complaints), 6)
		assert.Equal(t, drawn, drill.Draw(all, seed))
	}
	assert.NotEqual(t, drill.Draw(all, 1), drill.Draw(all, 2))
}

func TestTheResultSheet(t *testing.T) {
	s := drill.Sheet{Trainee: "ana", Seed: 7, At: time.Date(2026, 5, 4, 9, 0, 0, 0, time.Local)}
	for i, id := range []string{"face-wet", "waves", "healthy"} {
		d := drill.Debrief{Lesson: lesson(t, id), Right: i != 1, Verdict: "Right: as it should be.", Minutes: 20, Par: 15}
		if i == 1 {
			d.Verdict, d.Wasted = "Wrong: it was waves.", []drill.Cause{{ID: "foam", Title: "Foam or floating scum on the water"}}
		}
		s.Lessons = append(s.Lessons, drill.Mark{Lesson: d.Lesson, Debrief: &d})
	}
	s.Lessons = append(s.Lessons, drill.Mark{Lesson: lesson(t, "foam")})
	golden.Equal(t, "sheet.txt", s.Text())
	assert.False(t, s.Passed())
}
