package command

import (
	"fmt"
	"math"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/rig"
)

func TestZZRows(t *testing.T) {
	if os.Getenv("ZZ") == "" {
		t.Skip()
	}
	base, err := loadKnowledge()
	require.NoError(t, err)
	for _, c := range base.Complaints {
		for _, cause := range c.Causes {
			i, err := rig.New(rig.Options{Seed: 3, Faults: []rig.Fault{{ID: cause}}})
			require.NoError(t, err)
			_ = i.Connect()
			l := lesson{options: rig.Options{Seed: 3, Faults: []rig.Fault{{ID: cause}}}, listen: 40 * time.Minute}
			_, snap := l.play(t)
			i.Advance(40 * time.Minute)
			for _, id := range c.Probes {
				p := base.Probes[id]
				word := ""
				if p.Kind == "watch" {
					for k := range snap.Findings {
						if snap.Findings[k].Check == p.Check {
							word = snap.Findings[k].Grade(p.Aspect)
						}
					}
				} else {
					word, _, _ = i.Answer(id, p.Answers)
				}
				k := slices.Index(p.Answers, word)
				if k < 0 {
					continue
				}
				row, own := rowOf(p, c, cause)
				best := 0.0
				for _, o := range c.Causes {
					r, _ := rowOf(p, c, o)
					best = max(best, r[k])
				}
				if row[k] < 0.12 {
					fmt.Printf("ROW %-18s %-24s %-18s %-8s %-30s p=%.2f own=%v ratio to best %.1f bit\n", c.ID, cause, id, p.Kind, word, row[k], own, math.Log2(best/row[k]))
				}
			}
		}
	}
}

func rowOf(p *knowledge.Probe, c *knowledge.Complaint, cause string) ([]float64, bool) {
	if r := c.Rows[p.ID][cause]; r != nil {
		return r, true
	}
	if r := p.Rows[cause]; r != nil {
		return r, true
	}
	if u := c.Usual[p.ID]; u != nil {
		return u, false
	}
	return p.Usual, false
}
