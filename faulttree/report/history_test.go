package report

import (
	"io"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/testdata/golden"
)

// aged is the sample visit at another time with another pump flow.
func aged(t *testing.T, number int64, months int, flow float64) visit.Visit {
	v := folded(t, sampleBodies())
	v.Number, v.Begun = number, begun.AddDate(0, months, 0)
	v.Found.Findings = append(v.Found.Findings, visit.FindingRecord{Check: "fill-rate", Figures: []visit.FigureRecord{{Name: "fill_m3_per_h", Value: p(flow)}}})
	return v
}

func TestTrendInWords(t *testing.T) {
	visits := []visit.Visit{aged(t, 1, 0, 2.4), aged(t, 2, 6, 2.1), aged(t, 3, 14, 1.7)}
	assert.Contains(t, Trends(visits, Metric), "pump flow 2.4, 2.1, 1.7 m3/h in 14 months")
	assert.Empty(t, Trends(visits[:1], Metric), "one visit is no trend")
	assert.Empty(t, Trends(nil, US))
}

func TestHistoryAndCompareGolden(t *testing.T) {
	visits := []visit.Visit{aged(t, 3, 14, 1.7), aged(t, 1, 0, 2.4)}
	golden.Equal(t, "history.md", written(t, func(w io.Writer) error { return WriteHistory(w, visits, Options{}) }))
	golden.Equal(t, "compare.md", written(t, func(w io.Writer) error { return WriteCompare(w, visits[0], visits[1], Options{}) }))
	golden.Equal(t, "causes.md", written(t, func(w io.Writer) error {
		return WriteCauses(w, []visit.CauseMet{{Complaint: "no-echo", Cause: "face-wet", Title: "Drops on the face", Visits: 3, Proven: 2, Minutes: 14, Prior: p(0.09)},
			{Complaint: "no-echo", Visits: 1, Minutes: 40}})
	}))
}

func TestCompareSaysWhenTheInstallationsDiffer(t *testing.T) {
	a, b := aged(t, 1, 0, 2), aged(t, 2, 1, 2)
	b.Asset = "HT-9"
	out := string(written(t, func(w io.Writer) error { return WriteCompare(w, a, b, Options{}) }))
	assert.Contains(t, out, "two installations")
}

func TestChangeAndSpanInWords(t *testing.T) {
	for _, c := range []struct {
		a, b float64
		want string
	}{{2, 1, "-50 %"}, {1, 1.001, "the same"}, {0, 0, "the same"}, {0, 1, "more"}, {1, 20, "20 times"}, {-1, 1, "+200 %"}} {
		assert.Equal(t, c.want, change(visit.Behaviour{"x": c.a}, visit.Behaviour{"x": c.b}, "x"))
	}
	assert.Empty(t, change(visit.Behaviour{}, visit.Behaviour{"x": 1}, "x"))
	for d, want := range map[time.Duration]string{0: "1 hour", 5 * time.Hour: "5 hours", 48 * time.Hour: "2 days", 28 * 24 * time.Hour: "4 weeks", 365 * 24 * time.Hour: "12 months"} {
		assert.Equal(t, want, spanWords(d))
	}
}
