package report

import (
	"fmt"
	"io"
	"math"
	"sort"
	"strings"
	"time"

	"example.org/tankhand/faulttree/visit"
)

// behaviourWords are the figures of a behaviour as people say them.
var behaviourWords = map[string]string{"spread_m": "spread of the reading", "dropout_fraction": "lost echoes", "fill_m3_per_h": "pump flow",
	"starts_per_h_worst": "starts in the worst hour", visit.SwitchesPerDay: "relay switches a day", "restarts": "restarts"}

// found is how an installation behaved when the technician came, left how it behaved afterwards;
// where one was not recorded the other stands in.
func found(v *visit.Visit) visit.Behaviour { return firstOf(v.Found, v.Left) }
func left(v *visit.Visit) visit.Behaviour  { return firstOf(v.Left, v.Found) }

func firstOf(a, b *visit.FindingsBody) visit.Behaviour {
	if a != nil {
		return a.Behaviour()
	}
	return b.Behaviour()
}

// WriteCompare writes how an installation was left on one visit against how it was found on a later
// one, as Markdown. The order of the two does not matter.
func WriteCompare(w io.Writer, a, b visit.Visit, opt Options) error {
	if b.Begun.Before(a.Begun) {
		a, b = b, a
	}
	ra, rb := New(a, opt), New(b, opt)
	t := table{head: []string{"", ra.heading() + ", as left", rb.heading() + ", as found", "Change"}, wide: 3}
	then, now := left(&a), found(&b)
	for _, name := range visit.BehaviourNames() {
		t.rows = append(t.rows, []string{behaviourWords[name], measured(opt.Units, then, name), measured(opt.Units, now, name), change(then, now, name)})
	}
	t.rows = append(t.rows, []string{"complaint", complaint(&a), complaint(&b), ""}, []string{"outcome", outcome(&a), outcome(&b), ""})
	out := []block{heading{1, "Then and now"}}
	if a.Asset != b.Asset || a.Site != b.Site {
		out = append(out, paragraph{fmt.Sprintf("These are two installations: %s %s and %s %s.", a.Site, a.Asset, b.Site, b.Asset), true})
	}
	if a.Invented() || b.Invented() {
		out = append(out, paragraph{InventedNotice, true})
	}
	return markdownBlocks(w, append(out, t))
}

func (r Report) heading() string {
	return fmt.Sprintf("visit %d, %s", r.visit.Number, r.visit.Begun.In(r.opt.Location).Format("2006-01-02"))
}

func measured(u Units, b visit.Behaviour, name string) string {
	v, ok := b[name]
	if !ok {
		return "not measured"
	}
	return number(u, name, v)
}

func change(then, now visit.Behaviour, name string) string {
	a, okA := then[name]
	b, okB := now[name]
	switch {
	case !okA || !okB:
		return ""
	case a == 0 && b == 0:
		return "the same"
	case a == 0:
		return "more"
	}
	pct := math.Round((b - a) / math.Abs(a) * 100)
	switch {
	case pct == 0:
		return "the same"
	case math.Abs(pct) > 999:
		return fmt.Sprintf("%.0f times", b/a)
	}
	return fmt.Sprintf("%+.0f %%", pct)
}

func complaint(v *visit.Visit) string {
	return orWords(v.Complaint.Title, orWords(words(v.Complaint.ID), "none"))
}

func outcome(v *visit.Visit) string {
	if !v.Closed {
		return "still open"
	}
	if v.Outcome.Cause == "" {
		return v.Outcome.Outcome
	}
	return v.Outcome.Outcome + ": " + orWords(v.Outcome.Title, v.Outcome.Cause)
}

// WriteHistory writes the visits to one asset in time, with a line of trend for each figure, as
// Markdown.
func WriteHistory(w io.Writer, visits []visit.Visit, opt Options) error {
	sorted := append([]visit.Visit(nil), visits...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].Begun.Before(sorted[j].Begun) })
	title := "History"
	if len(sorted) > 0 {
		title += " of " + strings.TrimSpace(sorted[0].Site+" "+sorted[0].Asset)
	}
	t := table{head: []string{"Visit", "Date", "Complaint", "Outcome", "Minutes"}, wide: 3}
	invented := false
	for i := range sorted {
		v := &sorted[i]
		invented = invented || v.Invented()
		t.rows = append(t.rows, []string{fmt.Sprint(v.Number), New(*v, opt).when(v.Begun), complaint(v), outcome(v), fmt.Sprintf("%.0f", v.Minutes())})
	}
	out := []block{heading{1, title}}
	if invented {
		out = append(out, paragraph{InventedNotice, true})
	}
	out = append(out, t)
	if trend := Trends(sorted, opt.Units); len(trend) > 0 {
		out = append(out, heading{2, "How it behaved when we came"}, list{trend})
	}
	return markdownBlocks(w, out)
}

// Trends says each figure that was measured on at least two visits in one line of words:
// "pump flow 2.4, 2.1, 1.7 m3/h in 14 months". Visits are taken oldest first.
func Trends(visits []visit.Visit, u Units) []string {
	var out []string
	for _, name := range visit.BehaviourNames() {
		var values []float64
		var from, to time.Time
		for i := range visits {
			v, ok := found(&visits[i])[name]
			if !ok {
				continue
			}
			values = append(values, v)
			if from.IsZero() {
				from = visits[i].Begun
			}
			to = visits[i].Begun
		}
		if len(values) > 1 {
			out = append(out, behaviourWords[name]+" "+series(u, name, values)+" in "+spanWords(to.Sub(from)))
		}
	}
	return out
}

// spanWords says a stretch of time as people do; a month is 30.44 days (365.25 / 12).
func spanWords(d time.Duration) string {
	days := d.Hours() / 24
	for _, s := range []struct {
		over float64
		per  float64
		unit string
	}{{60, 365.25 / 12, "month"}, {21, 7, "week"}, {1.5, 1, "day"}} {
		if days >= s.over {
			return plural(math.Round(days/s.per), s.unit)
		}
	}
	return plural(math.Max(1, math.Round(d.Hours())), "hour")
}

func plural(n float64, unit string) string {
	if n == 1 {
		return "1 " + unit
	}
	return fmt.Sprintf("%.0f %ss", n, unit)
}

// WriteCauses writes which causes the firm met, how often and in how many minutes, beside what was
// thought before, as Markdown.
func WriteCauses(w io.Writer, causes []visit.CauseMet) error {
	total := map[string]int{}
	for _, c := range causes {
		total[c.Complaint] += c.Visits
	}
	t := table{head: []string{"Complaint", "Cause", "Visits", "Proven", "Share", "Thought before", "Mean minutes"}, wide: 1}
	for _, c := range causes {
		prior := "not recorded"
		if c.Prior != nil {
			prior = fmt.Sprintf("%.0f %%", *c.Prior*100)
		}
		share := fmt.Sprintf("%.0f %%", 100*float64(c.Visits)/float64(total[c.Complaint]))
		t.rows = append(t.rows, []string{orWords(words(c.Complaint), "none"), orWords(c.Title, orWords(words(c.Cause), "none named")),
			fmt.Sprint(c.Visits), fmt.Sprint(c.Proven), share, prior, fmt.Sprintf("%.0f", c.Minutes)})
	}
	return markdownBlocks(w, []block{heading{1, "Causes met"}, t})
}
