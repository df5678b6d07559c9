// Package survey is what listening to a feed brought, on one page: as text for a phone-sized
// terminal and as the document tankhand/survey/1 for scripts.
package survey

import (
	"encoding/json"
	"io"
	"math"
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
)

// Schema names the document and its version.
const Schema = "tankhand/survey/1"

// number is a figure in JSON: null where it is not known.
type number float64

func (n number) MarshalJSON() ([]byte, error) {
	f := float64(n)
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(f)
}

// stamp is a time in JSON: null where there is none.
type stamp time.Time

func (s stamp) MarshalJSON() ([]byte, error) {
	t := time.Time(s)
	if t.IsZero() {
		return []byte("null"), nil
	}
	return json.Marshal(t.UTC().Format(time.RFC3339Nano))
}

type document struct {
	Schema     string         `json:"schema"`
	Feed       feedPart       `json:"feed"`
	Level      levelPart      `json:"level"`
	Findings   []findingPart  `json:"findings"`
	Complaints []sightingPart `json:"complaints"`
	Suspects   []suspectPart  `json:"suspects"`
}

// runPart is one run of the pump.
type runPart struct {
	From  stamp  `json:"from"`
	To    stamp  `json:"to"`
	Start number `json:"start_ullage_m"`
	Stop  number `json:"stop_ullage_m"`
	Flow  number `json:"fill_m3_per_h"`
	Low   number `json:"fill_low"`
	High  number `json:"fill_high"`
}

type feedPart struct {
	Source            string      `json:"source"`
	Times             string      `json:"times"`
	Bytes             int64       `json:"bytes"`
	Lines             int64       `json:"lines"`
	Readings          int64       `json:"readings"`
	Rejected          int64       `json:"rejected"`
	RateHz            number      `json:"rate_hz"`
	From              stamp       `json:"from"`
	To                stamp       `json:"to"`
	Restarts          int64       `json:"restarts"`
	Gaps              int64       `json:"gaps"`
	LongestGap        number      `json:"longest_gap_s"`
	Between           string      `json:"between,omitempty"` // hours of the day that were looked at
	Dialect           dialectPart `json:"dialect"`
	DialectConfidence number      `json:"dialect_confidence"`
}

type levelPart struct {
	Ullage  number `json:"ullage_m"`
	Level   number `json:"level_m"`
	Percent number `json:"level_percent"`
	Volume  number `json:"volume_m3"`
	Rate    number `json:"rate_m_per_s"`
	U       number `json:"u_level_m"`
	Largest string `json:"u_level_mostly,omitempty"`
}

type findingPart struct {
	Check    string            `json:"check"`
	Verdict  string            `json:"verdict"`
	Grades   map[string]string `json:"grades"`
	Figures  map[string]number `json:"figures"`
	Limit    string            `json:"limit"`
	Why      string            `json:"why"`
	Source   string            `json:"source"`
	Missing  string            `json:"missing,omitempty"` // what would tell
	Change   string            `json:"change,omitempty"`  // desk checks: with a worked value
	Episodes []episodePart     `json:"episodes"`
	Runs     []runPart         `json:"runs,omitempty"`
	Mostly   *mostlyPart       `json:"mostly,omitempty"` // the part of the day that holds most of what was counted
}

type episodePart struct {
	From    stamp             `json:"from"`
	To      stamp             `json:"to"`
	Figures map[string]number `json:"figures"`
}

type mostlyPart struct {
	From   string `json:"from"` // by the feed's own clock
	To     string `json:"to"`
	Events int    `json:"events"`
	Of     int    `json:"of"`
	Chance number `json:"chance"` // that luck alone would do it
}

type sightingPart struct {
	Complaint string   `json:"complaint"`
	Seen      bool     `json:"seen"`
	Because   []string `json:"because"`
	TooShort  bool     `json:"too_short,omitempty"`
}

type suspectPart struct {
	Complaint   string `json:"complaint"`
	Cause       string `json:"cause"`
	Probability number `json:"probability"`
}

// WriteJSON writes the document of a snapshot.
func WriteJSON(w io.Writer, base *knowledge.Base, snap *visit.Snapshot) error {
	doc := document{
		Schema:     Schema,
		Feed:       feedOf(snap),
		Level:      levelOf(snap),
		Findings:   []findingPart{},
		Complaints: []sightingPart{},
		Suspects:   suspectsOf(base, snap),
	}
	for i := range snap.Findings {
		doc.Findings = append(doc.Findings, findingOf(&snap.Findings[i]))
	}
	for _, s := range snap.Seen {
		because := s.Because
		if because == nil {
			because = []string{}
		}
		doc.Complaints = append(doc.Complaints, sightingPart{s.Complaint, s.Seen, because, s.TooShort && !s.Seen})
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	return enc.Encode(doc)
}

// levelOf is the level of the last reading; before the first one nothing is known, and nought would be a level.
func levelOf(snap *visit.Snapshot) levelPart {
	l := snap.Level
	if l.How == livelevel.Unknown {
		none := number(math.NaN())
		return levelPart{none, none, none, none, none, none, snap.Largest}
	}
	return levelPart{number(l.Ullage), number(l.Height), number(l.Percent), number(l.Volume), number(l.Rate), number(l.U), snap.Largest}
}

func feedOf(snap *visit.Snapshot) feedPart {
	f := snap.Feed
	return feedPart{
		Source: f.Source, Times: string(f.Times), Between: betweenOf(snap), Bytes: f.Bytes, Lines: f.Lines, Readings: f.Readings,
		Rejected: f.Rejected, RateHz: number(rate(snap)), From: stamp(f.From), To: stamp(f.To),
		Restarts: f.Restarts, Gaps: f.Gaps, LongestGap: number(longestGap(snap)),
		Dialect: dialectOf(snap.Dialect), DialectConfidence: number(f.DialectConfidence),
	}
}

// rate is the check's own figure, so that the page and the check cannot disagree.
func rate(snap *visit.Snapshot) float64 {
	return figure(snap, "feed-health", "rate_hz")
}

func longestGap(snap *visit.Snapshot) float64 {
	if g := figure(snap, "feed-health", "longest_gap_s"); !math.IsNaN(g) {
		return g
	}
	if snap.Feed.From.IsZero() {
		return math.NaN()
	}
	return snap.Feed.LongestGap.Seconds()
}

func figure(snap *visit.Snapshot, check, name string) float64 {
	for _, f := range snap.Findings {
		if f.Check != check {
			continue
		}
		for _, x := range f.Figures {
			if x.Name == name {
				return x.Value
			}
		}
	}
	return math.NaN()
}

func findingOf(f *diagnostics.Finding) findingPart {
	part := findingPart{Check: f.Check, Verdict: f.Verdict.String(), Grades: map[string]string{},
		Figures: figuresOf(f.Figures), Limit: f.Limit, Why: f.Why, Source: f.Source, Missing: f.Missing, Change: f.Change, Episodes: []episodePart{}}
	if f.Verdict == diagnostics.CannotTell && f.Missing != "" {
		part.Why = f.Missing
	}
	if m := f.Mostly; m != nil {
		part.Mostly = &mostlyPart{m.From, m.To, m.In, m.Of, number(m.P)}
	}
	for _, g := range f.Grades {
		if g.Word != "" {
			part.Grades[g.Aspect] = g.Word
		}
	}
	for _, e := range f.Episodes {
		part.Episodes = append(part.Episodes, episodePart{stamp(e.From), stamp(e.To), figuresOf(e.Figures)})
	}
	for _, r := range f.Runs {
		part.Runs = append(part.Runs, runPart{stamp(r.From), stamp(r.To), number(r.StartUllage), number(r.StopUllage),
			number(r.Flow), number(r.FlowLow), number(r.FlowHigh)})
	}
	return part
}

func figuresOf(figures []diagnostics.Figure) map[string]number {
	m := make(map[string]number, len(figures))
	for _, f := range figures {
		m[f.Name] = number(f.Value)
	}
	return m
}

func betweenOf(snap *visit.Snapshot) string {
	if snap.Between == (diagnostics.Hours{}) {
		return ""
	}
	return snap.Between.String()
}

// suspectsOf walks each complaint that is seen with the evidence of the feed alone.
func suspectsOf(base *knowledge.Base, snap *visit.Snapshot) []suspectPart {
	out := []suspectPart{}
	for _, s := range snap.Seen {
		if !s.Seen {
			continue
		}
		for _, x := range Suspects(base, s.Complaint, snap) {
			out = append(out, suspectPart{s.Complaint, x.Cause, number(x.Probability)})
		}
	}
	return out
}

// Suspects are what the findings of a snapshot make likely for a complaint, most likely first.
func Suspects(base *knowledge.Base, complaint string, snap *visit.Snapshot) []faulttree.Suspect {
	w, err := faulttree.Start(base, complaint, faulttree.Options{Sheet: snap.Sheet})
	if err != nil {
		return nil
	}
	if grades := w.Grades(snap.Findings); len(grades) > 0 {
		if next, err := w.Apply(faulttree.Step{Act: faulttree.Evidence, Grades: grades}); err == nil {
			w = next
		}
	}
	return w.Suspects()
}
