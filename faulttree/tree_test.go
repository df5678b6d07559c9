package faulttree

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/testdata/golden"
)

func TestTreeOfEveryComplaint(t *testing.T) {
	for _, c := range shipped(t).Complaints {
		w := begin(t, c.ID)
		tree := w.Tree(PageBoxes)
		text := tree.Text(100)
		if c.ID == "no-echo" {
			golden.Equal(t, "tree/no-echo.txt", text)
			golden.Equal(t, "tree/no-echo.md", tree.Markdown())
		}
		t.Logf("%s: %+v", c.ID, tree.Figures)
		assert.LessOrEqual(t, tree.Figures.Boxes, PageBoxes)
		total := 0.0
		tree.Root.each(func(b *Box) {
			if b.Probe == "" {
				total += b.Reach
				assert.NotEmpty(t, b.Suspects, "no dead ends")
			}
		})
		assert.InDelta(t, 1, total, 1e-9, "every visit ends somewhere")
		for _, line := range strings.Split(text, "\n") {
			assert.LessOrEqual(t, len([]rune(line)), 100)
		}
		data, err := tree.JSON()
		require.NoError(t, err)
		assert.True(t, json.Valid(data))
		assert.Contains(t, tree.Markdown(), "# "+c.Title)
	}
}

// The rest of the tree from where a visit stands.
func TestTreeFromHere(t *testing.T) {
	w := begin(t, "no-echo")
	w = step(t, w, Step{Act: Evidence, Grades: map[string]string{"lost-echoes": "nearly-all"}})
	w = step(t, w, Step{Act: Answered, Probe: "terminals-look", Answer: "differs"})
	tree := w.Tree(6)
	assert.LessOrEqual(t, tree.Figures.Boxes, 6)
	tree.Root.each(func(b *Box) {
		assert.NotContains(t, []string{"lost-echoes", "terminals-look"}, b.Probe, "what is answered is not asked again")
	})
	first := step(t, w, Step{Act: Answered, Probe: "echo-continuity", Answer: "open or on the wrong terminal"}).Tree(6)
	assert.Equal(t, "trigger-open", first.Root.Suspects[0].Cause, "a likely cause needs no box")
}

// More boxes never cost more: the paper tree comes nearer to the live walk.
func TestMoreBoxesAreWorthMore(t *testing.T) {
	for _, c := range testBase.Complaints {
		w := begin(t, c.ID)
		few, many := w.Tree(6).Figures.Minutes, w.Tree(PageBoxes).Figures.Minutes
		t.Logf("%s: %.0f weighed minutes with 6 boxes, %.0f with %d", c.ID, few, many, PageBoxes)
		assert.LessOrEqual(t, many, few+1)
	}
}

func BenchmarkTree(b *testing.B) {
	w := begin(b, "relay-chatter")
	for b.Loop() {
		w.Tree(PageBoxes)
	}
}
