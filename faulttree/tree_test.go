package faulttree

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTreeOfEveryComplaint(t *testing.T) {
	for _, c := range shipped(t).Complaints {
		w := begin(t, c.ID)
		tree := w.Tree(PageBoxes)
		text := tree.Text(100)
		if c.ID == "no-echo" {
			t.Log("\n" + text)
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

func BenchmarkTree(b *testing.B) {
	w := begin(b, "relay-chatter")
	for b.Loop() {
		w.Tree(PageBoxes)
	}
}
