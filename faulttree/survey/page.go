package survey

import (
	"fmt"
	"io"
	"math"
	"sort"
	"strings"
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/quantity"
)

// columns is the width of the page: a phone held upright over SSH, or an 80-column console.
const columns = 80

// Page is how the page is to be written.
type Page struct {
	Base  *knowledge.Base
	Units quantity.System
	// FeedWords are the command-line words that open this feed again, for the advice at the end.
	FeedWords string
}

// Write writes the page of a snapshot: the feed and the level, then the findings with the worst
// first, then the complaints seen with their suspects and what to do next.
func (p Page) Write(w io.Writer, snap *visit.Snapshot) error {
	var b strings.Builder
	p.head(&b, snap)
	p.findings(&b, snap.Findings, behind(snap.Seen))
	p.complaints(&b, snap)
	_, err := io.WriteString(w, b.String())
	return err
}

func (p Page) head(b *strings.Builder, snap *visit.Snapshot) {
	f := snap.Feed
	title := "survey of " + visible(f.Source)
	if snap.Sheet != nil && snap.Sheet.Site != "" {
		title = fmt.Sprintf("survey of %s / %s, from %s", visible(snap.Sheet.Site), visible(snap.Sheet.Asset), visible(f.Source))
	}
	paragraph(b, "", title)
	paragraph(b, "", fmt.Sprintf("%d readings of %d lines, %d rejected%s; times %s%s.", f.Readings, f.Lines, f.Rejected,
		span(f.From, f.To), timesWords(f.Times), dialectWords(snap)))
	if snap.Between != (diagnostics.Hours{}) {
		paragraph(b, "", "Only the hours "+snap.Between.String()+" were looked at.")
	}
	paragraph(b, "", p.LevelWords(snap))
	if doubt := unitDoubt(snap); doubt != "" {
		paragraph(b, "", doubt)
	}
	b.WriteString("\n")
}

// unitDoubt says that the level's unit is a guess, where another fits nearly as well; or what must be known
// before anything is read.
func unitDoubt(snap *visit.Snapshot) string {
	for _, c := range snap.Columns {
		if c.RunnerUnit == "" || c.Role != livelevel.Ullage && c.Role != livelevel.LevelHeight {
			continue
		}
		if !snap.Settled {
			help := "Give a site sheet with the height of the sensor's face, or write"
			if snap.Sheet != nil && snap.Sheet.Sensor.FaceHeight.Known() {
				help = "With the sheet's height of the sensor's face both lie in the tank: write"
			}
			return fmt.Sprintf("%q in column %s may be %s as well as %s, so nothing is read yet. %s the unit into a dialect (tankhand "+
				"dialect learn --out F) and give that.", visible(c.Sample), visible(c.At), c.Unit, c.RunnerUnit, help)
		}
		return fmt.Sprintf("The unit is a guess: %q in column %s is taken for %s, but %s would fit too. Compare with the water, "+
			"or give a site sheet or a dialect.", visible(c.Sample), visible(c.At), c.Unit, c.RunnerUnit)
	}
	return ""
}

func span(from, to time.Time) string {
	if from.IsZero() || !to.After(from) {
		return ""
	}
	return " in " + duration(to.Sub(from))
}

func timesWords(t livelevel.Times) string {
	switch t {
	case livelevel.ByArrival:
		return "by arrival"
	case livelevel.ByLine:
		return "by the lines' own clock"
	case livelevel.ByInterval:
		return "by the interval given"
	}
	return "unknown (give --interval to judge what needs time)"
}

func dialectWords(snap *visit.Snapshot) string {
	if !snap.Settled {
		return "; dialect not recognised"
	}
	return fmt.Sprintf("; dialect %s, sure to %.0f %%", visible(snap.Dialect.Name), 100*snap.Feed.DialectConfidence)
}

// LevelWords is the level in one line.
func (p Page) LevelWords(snap *visit.Snapshot) string {
	l := snap.Level
	if l.How == livelevel.Unknown {
		return "Level: not known. " + l.Why
	}
	parts, u := []string{}, l.U
	if !math.IsNaN(l.Height) {
		parts, u = append(parts, p.within(l.Height, u)+" deep"), 0 // the depth carries the uncertainty
	}
	if !math.IsNaN(l.Ullage) {
		parts = append(parts, p.within(l.Ullage, u)+" below the sensor")
	}
	if !math.IsNaN(l.Percent) {
		parts = append(parts, fmt.Sprintf("%.0f %% between the marks", l.Percent))
	}
	if !math.IsNaN(l.Volume) {
		parts = append(parts, quantity.Format(quantity.Quantity{V: l.Volume, Dim: quantity.Volume}, p.Units))
	}
	if len(parts) == 0 {
		return "Level: not known; the feed carries no distance, level or percent that was recognised."
	}
	text := "Level now: " + strings.Join(parts, ", ") + "."
	if l.U > 0 && snap.Largest != "" {
		text += " The ± is accuracy, " + snap.Largest + "."
	}
	return text
}

// within is a length with its interval, where it has one.
func (p Page) within(m, u float64) string {
	text := quantity.Interval(quantity.Quantity{V: m, U: u, Dim: quantity.Length}, p.Units)
	if u > 0 {
		text += " (95 %)"
	}
	return text
}

func (p Page) length(m float64) string {
	return quantity.Format(quantity.Quantity{V: m, Dim: quantity.Length}, p.Units)
}

// behind are the checks that make a complaint seen.
func behind(seen []faulttree.Sighting) map[string]bool {
	m := map[string]bool{}
	for _, s := range seen {
		for _, check := range s.Because {
			m[check] = m[check] || s.Seen
		}
	}
	return m
}

// findings prints fails with all they have, then passes in brief, then what cannot be told. Of the fails those
// behind a complaint come first, then those that lasted longest.
func (p Page) findings(b *strings.Builder, all []diagnostics.Finding, behind map[string]bool) {
	sorted := append([]diagnostics.Finding(nil), all...)
	rank := func(f *diagnostics.Finding) int {
		switch {
		case f.Verdict == diagnostics.Fail && behind[f.Check]:
			return 0
		case f.Verdict == diagnostics.Fail:
			return 1
		case f.Verdict == diagnostics.Pass:
			return 2
		}
		return 3
	}
	sort.SliceStable(sorted, func(i, j int) bool {
		x, y := &sorted[i], &sorted[j]
		if a, b := rank(x), rank(y); a != b {
			return a < b
		}
		return x.Verdict == diagnostics.Fail && failing(x) > failing(y)
	})
	for _, f := range sorted {
		switch f.Verdict {
		case diagnostics.Fail:
			failed(b, f)
			p.runs(b, f.Runs)
		case diagnostics.Pass:
			passed(b, f)
			p.runs(b, f.Runs)
		default:
			paragraph(b, "? ", f.Check+": cannot tell; needs "+f.Missing)
		}
	}
	b.WriteString("\n")
}

// failing is how long a check failed in all.
func failing(f *diagnostics.Finding) (d time.Duration) {
	for _, e := range f.Episodes {
		d += e.To.Sub(e.From)
	}
	return d
}

// mostRuns is how many runs of the pump the page lists; the document has more.
const mostRuns = 6

// runs are the last runs of the pump, one by one.
func (p Page) runs(b *strings.Builder, all []diagnostics.Run) {
	if n := len(all) - mostRuns; n > 0 {
		paragraph(b, "    ", fmt.Sprintf("%d earlier runs", n))
		all = all[n:]
	}
	for _, r := range all {
		text := "run"
		if !r.From.IsZero() {
			text += ", " + moment(r.From) + ", for " + duration(r.To.Sub(r.From))
		}
		if !math.IsNaN(r.StartUllage) && !math.IsNaN(r.StopUllage) {
			text += fmt.Sprintf(": from %s to %s below the sensor", p.length(r.StartUllage), p.length(r.StopUllage))
		}
		if !math.IsNaN(r.Flow) {
			text += fmt.Sprintf(", %s (%s to %s)", p.flow(r.Flow), p.flow(r.FlowLow), p.flow(r.FlowHigh))
		}
		paragraph(b, "    ", text)
	}
}

// flow takes m3/h.
func (p Page) flow(perHour float64) string {
	return quantity.Format(quantity.Quantity{V: perHour / 3600, Dim: quantity.Flow}, p.Units)
}

// passed is brief, but what passes only just keeps its limit and what would better it.
func passed(b *strings.Builder, f diagnostics.Finding) {
	paragraph(b, "+ ", f.Check+": "+f.Why)
	if f.Change == "" {
		return
	}
	if f.Limit != "" {
		paragraph(b, "    ", "limit: "+f.Limit+sourceWords(f.Source))
	}
	paragraph(b, "    ", "better: "+f.Change)
}

func failed(b *strings.Builder, f diagnostics.Finding) {
	paragraph(b, "! ", f.Check+": "+f.Why)
	if f.Limit != "" {
		paragraph(b, "    ", "limit: "+f.Limit+sourceWords(f.Source))
	}
	for i, e := range f.Episodes {
		if i == 3 {
			paragraph(b, "    ", fmt.Sprintf("and %d more stretches", len(f.Episodes)-i))
			break
		}
		if !e.From.IsZero() {
			paragraph(b, "    ", "from "+moment(e.From)+" for "+duration(e.To.Sub(e.From)))
		}
	}
	if f.Change != "" {
		paragraph(b, "    ", "change: "+f.Change)
	}
}

func sourceWords(source string) string {
	if source == "" {
		return ""
	}
	return " (" + source + ")"
}

func (p Page) complaints(b *strings.Builder, snap *visit.Snapshot) {
	seen, short := []faulttree.Sighting{}, []string{}
	for _, s := range snap.Seen {
		if s.Seen {
			seen = append(seen, s)
		} else if s.TooShort {
			short = append(short, fmt.Sprintf("%s (up to %s)", p.title(s.Complaint), duration(s.Needs)))
		}
	}
	if len(seen) == 0 {
		paragraph(b, "", "No complaint shows in this feed.")
	}
	for _, s := range seen {
		p.complaint(b, s, snap)
	}
	switch {
	case len(short) > 0 && snap.Feed.Readings > 0 && snap.Feed.From.IsZero():
		paragraph(b, "", "What needs time was not judged, for the feed carries none: say how often it reports, as with --interval 2s.")
	case len(short) > 0:
		paragraph(b, "", "Not to be ruled out by so short a feed: "+strings.Join(short, ", ")+". Let it run on, with a start and a stop of the pump in it.")
	}
}

func (p Page) title(complaint string) string {
	for _, c := range p.Base.Complaints {
		if c.ID == complaint {
			return c.Title
		}
	}
	return complaint
}

func (p Page) complaint(b *strings.Builder, s faulttree.Sighting, snap *visit.Snapshot) {
	title := p.title(s.Complaint)
	paragraph(b, "> ", title+", by "+strings.Join(s.Because, " and "))
	for i, x := range Suspects(p.Base, s.Complaint, snap) {
		if i == 3 {
			break
		}
		paragraph(b, "    ", fmt.Sprintf("%3.0f %%  %s", 100*x.Probability, x.Title))
	}
	paragraph(b, "    ", strings.TrimSpace("next: tankhand walk "+s.Complaint+" "+p.FeedWords))
}

// moment is a time of the feed. A log that is timed by its own uptime counts from 1970: then only how far
// into the log it was means anything.
func moment(t time.Time) string {
	if since := t.Sub(time.Unix(0, 0)); since >= 0 && since < 366*24*time.Hour {
		return duration(since) + " into the log"
	}
	return t.Format("2006-01-02 15:04:05")
}

// duration in the words of a person.
func duration(d time.Duration) string {
	switch {
	case d < 2*time.Minute:
		return fmt.Sprintf("%.0f s", d.Seconds())
	case d < 2*time.Hour:
		return fmt.Sprintf("%.0f min", d.Minutes())
	case d < 48*time.Hour:
		return strings.TrimSuffix(fmt.Sprintf("%.1f", d.Hours()), ".0") + " h"
	}
	return strings.TrimSuffix(fmt.Sprintf("%.1f", d.Hours()/24), ".0") + " days"
}
