package visit

import (
	"math"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/livelevel"
)

// number keeps a value that JSON can hold; NaN and infinities are unknown.
func number(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

var howWords = map[livelevel.How]string{livelevel.Measured: "measured", livelevel.Smoothed: "smoothed",
	livelevel.Coasting: "coasting", livelevel.Chosen: "chosen"}

// RecordLevel makes a level storable; nil when there is none.
func RecordLevel(l livelevel.Level) *LevelRecord {
	if l.How == livelevel.Unknown {
		return nil
	}
	return &LevelRecord{At: l.Reading.Time.UTC(), How: howWords[l.How], Ullage: number(l.Ullage), Height: number(l.Height),
		Percent: number(l.Percent), Volume: number(l.Volume), Rate: number(l.Rate), U: number(l.U)}
}

// RecordFindings makes findings storable, in the same order.
func RecordFindings(fs []diagnostics.Finding) []FindingRecord {
	out := make([]FindingRecord, 0, len(fs))
	for _, f := range fs {
		out = append(out, recordFinding(f))
	}
	return out
}

func recordFinding(f diagnostics.Finding) FindingRecord {
	r := FindingRecord{Check: f.Check, Verdict: f.Verdict.String(), Figures: recordFigures(f.Figures), Limit: f.Limit, Why: f.Why,
		Source: f.Source, Missing: f.Missing, Change: f.Change, From: f.Evidence.From.UTC(), To: f.Evidence.To.UTC()}
	for _, g := range f.Grades {
		r.Grades = append(r.Grades, GradeRecord{Aspect: g.Aspect, Word: g.Word})
	}
	for _, e := range f.Episodes {
		r.Episodes = append(r.Episodes, EpisodeRecord{From: e.From.UTC(), To: e.To.UTC(), Figures: recordFigures(e.Figures)})
	}
	return r
}

func recordFigures(fs []diagnostics.Figure) []FigureRecord {
	var out []FigureRecord
	for _, f := range fs {
		out = append(out, FigureRecord{Name: f.Name, Value: number(f.Value), Unit: f.Unit})
	}
	return out
}

// Figure returns a figure by name; ok is false where it is missing or unknown.
func (f *FindingRecord) Figure(name string) (v float64, ok bool) {
	for _, g := range f.Figures {
		if g.Name == name && g.Value != nil {
			return *g.Value, true
		}
	}
	return math.NaN(), false
}
