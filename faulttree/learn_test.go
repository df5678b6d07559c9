package faulttree

import (
	"testing"

	"example.org/tankhand/faulttree/knowledge"
	"github.com/stretchr/testify/assert"
)

// The Dirichlet mean by hand: weight 30, priors .5 .3 .2, counts 6 3 1.
func TestLearnByHand(t *testing.T) {
	c := &knowledge.Complaint{ID: "x", Causes: []string{"a", "b"}, Priors: map[string]float64{"a": .5, "b": .3}, Unlisted: .2}
	var visits []Closed
	for id, n := range map[string]int{"a": 6, "b": 3, "something else": 1} {
		for range n {
			visits = append(visits, Closed{Complaint: "x", Proven: id})
		}
	}
	visits = append(visits, Closed{Complaint: "y", Proven: "a"}, Closed{Complaint: "x"})
	got := Learn(c, visits)
	assert.InDelta(t, .525, got["a"], 1e-12)
	assert.InDelta(t, .300, got["b"], 1e-12)
	assert.InDelta(t, .175, got[Unlisted], 1e-12)
	assert.Nil(t, Learn(c, nil), "nothing to learn from")
}

func TestLearnFromBeliefAndKeepUnlisted(t *testing.T) {
	c := &knowledge.Complaint{ID: "x", Causes: []string{"a", "b"}, Priors: map[string]float64{"a": .6, "b": .37}, Unlisted: .03}
	got := Learn(c, []Closed{{Complaint: "x", Belief: map[string]float64{"a": 2, "b": 2}}})
	assert.InDelta(t, (30*.6+.5)/31, got["a"], 1e-12)
	var many []Closed
	for range 100 {
		many = append(many, Closed{Complaint: "x", Proven: "b"})
	}
	got = Learn(c, many)
	assert.InDelta(t, leastUnlisted, got[Unlisted], 1e-12)
	assert.InDelta(t, 1, got["a"]+got["b"]+got[Unlisted], 1e-12)
}

func TestSideBySide(t *testing.T) {
	c := testBase.Complaints[0]
	lines := SideBySide(testBase, c, []Closed{{Complaint: c.ID, Proven: "tilt"}})
	for _, l := range lines {
		if l.Cause == "tilt" {
			assert.Greater(t, l.Learned, l.Shipped)
			assert.InDelta(t, 1, l.Found, 1e-12)
		} else {
			assert.Less(t, l.Learned, l.Shipped)
		}
	}
	assert.Equal(t, Unlisted, lines[len(lines)-1].Cause)
}
