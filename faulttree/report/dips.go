package report

import (
	"fmt"

	"example.org/tankhand/faulttree/visit"
)

// dips are the dip-tape series, as found beside as left, in the terms of IEC 61298.
func (r Report) dips() []block {
	if len(r.visit.Dips) == 0 {
		return nil
	}
	out := []block{heading{2, "Dip tape against the gauge"}}
	rows := [][]string{}
	for _, d := range r.visit.Dips {
		rows = append(rows, []string{r.when(d.At), d.When, fmt.Sprint(len(d.Points)), r.mm(d.Offset), share(d.Span), r.mm(d.Inaccuracy),
			r.mm(d.Hysteresis), r.mm(d.NonRepeatability), r.mm(d.NonLinearity)})
	}
	out = append(out, table{[]string{"Time", "", "Levels", "Offset", "Span", "Greatest error", "Hysteresis", "Non-repeatability", "Non-linearity"}, rows, 0})
	for _, d := range r.visit.Dips {
		out = append(out, r.dipPoints(d))
	}
	return out
}

func (r Report) dipPoints(d visit.DipAt) block {
	t := table{[]string{d.When + ", by the tape", "by the gauge", "error", ""}, nil, 0}
	for _, p := range d.Points {
		way, e := "rising", p.Gauge-p.Tape
		if p.Down {
			way = "falling"
		}
		t.rows = append(t.rows, []string{r.reading(p.Tape, "m"), r.reading(p.Gauge, "m"), r.mm(&e), way})
	}
	return t
}

func (r Report) mm(v *float64) string {
	if v == nil {
		return "-"
	}
	if r.opt.Units == US {
		return fmt.Sprintf("%+.2f in", *v/0.0254)
	}
	return fmt.Sprintf("%+.1f mm", 1000**v)
}

func share(v *float64) string {
	if v == nil {
		return "-"
	}
	return fmt.Sprintf("%+.2f %%", 100**v)
}
