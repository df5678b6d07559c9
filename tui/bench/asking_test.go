package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
)

// curedFurther is a cure of damage: what killed the part may be asked beyond it.
func curedFurther() visit.Snapshot {
	s := cured()
	s.Walk.Done, s.Walk.Proven = true, true
	s.Walk.Offer.Further = "find out what killed the part, so that the new one lives"
	s.Walk.Better = s.Walk.Offer.Further
	return s
}

// oddScene has an answer that does not fit the rest, and more that may be asked.
func oddScene() visit.Snapshot {
	s := measuring()
	w := *s.Walk
	w.Odd = &faulttree.Odd{Probe: "cable-look", Answer: "thick enough", Ask: "Core of the supply cable against the sheet?", Chance: 0.04}
	w.Questions = []faulttree.Question{{Probe: "psu-look", Bits: 0.42, Minutes: 3}, {Probe: "not-known", Bits: 0.1, Minutes: 1}}
	s.Walk = &w
	return s
}

// TestAnotherQuestionIsAsked takes the rows of the list one by one: the odd answer again, the skipped probe, a
// probe of one's own choice; a probe that the knowledge does not have is not listed.
func TestAnotherQuestionIsAsked(t *testing.T) {
	for keys, want := range map[string]visit.Command{
		"1": visit.AskProbe{Probe: "cable-look"}, "2": visit.BringBackProbe{Probe: "cable-look"}, "3": visit.AskProbe{Probe: "psu-look"},
	} {
		m, f := at(120, 36, oddScene(), Options{}, "o", keys)
		assert.Equal(t, []visit.Command{want}, f.done)
		assert.Len(t, m.questions(), 3)
	}
	s := oddScene()
	s.Walk.Odd.Feed = true
	m, _ := at(120, 36, s, Options{})
	assert.Len(t, m.questions(), 2, "nobody can say again what the feed says")
}

// TestWhatKilledThePartIsAskedBeyondACure: b asks it, Enter hands over.
func TestWhatKilledThePartIsAskedBeyondACure(t *testing.T) {
	m, f := at(80, 24, curedFurther(), Options{}, "b")
	assert.Equal(t, []visit.Command{visit.TakeBetter{}}, f.done)
	assert.Contains(t, m.View(), "find out what killed the part")
}
