package diagnostics

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// TestTheWorstScatterIsTold: an hour of calm hides three minutes of scatter in the median; the finding fails for
// these, so it says how much it was then.
func TestTheWorstScatterIsTold(t *testing.T) {
	sheet := &site.Sheet{}
	m, g := NewMonitor(sheet, 0), livelevel.NewGauge(sheet)
	r := rand.New(rand.NewPCG(5, 6))
	for i := range 36_000 {
		sd := 0.002
		if i >= 12_000 && i < 13_800 {
			sd = 0.06
		}
		in := livelevel.Reading{Time: time.Unix(0, 0).Add(time.Duration(i) * 100 * time.Millisecond), Kind: livelevel.Report}
		in.Set(livelevel.Ullage, 1.2+sd*r.NormFloat64())
		l := g.Add(in)
		m.Add(&l)
	}
	for _, f := range m.Findings(time.Time{}) {
		if f.Check != "reading-spread" {
			continue
		}
		assert.Equal(t, Fail, f.Verdict)
		assert.Regexp(t, `scatters by 2\.\d mm .* and by [5-7]\.\d cm at its worst`, f.Why)
		assert.InDelta(t, 0.06, f.Episodes[0].Figures[0].Value, 0.012)
	}
}
