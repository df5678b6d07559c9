package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
)

// CSV writes the findings of the visit by RFC 4180: one figure a record, values in the unit that the
// figure's name says, whatever units the technician chose: a program reads this.
func (r Report) CSV(w io.Writer) error {
	rows := [][]string{{"recorded", "when", "check", "verdict", "grades", "figure", "value", "limit", "why", "source", "invented"}}
	for _, f := range r.visit.Readings {
		for _, k := range append(append([]visit.FindingRecord(nil), f.Findings...), f.Desk...) {
			rows = append(rows, r.csvFinding(f, k)...)
		}
	}
	return r.csvWrite(w, rows)
}

func (r Report) csvFinding(at visit.FindingsAt, f visit.FindingRecord) [][]string {
	var grades []string
	for _, g := range f.Grades {
		grades = append(grades, g.Aspect+": "+g.Word)
	}
	figures := f.Figures
	if len(figures) == 0 {
		figures = []visit.FigureRecord{{}}
	}
	var out [][]string
	for _, g := range figures {
		value := ""
		if g.Value != nil {
			value = plainNumber(*g.Value)
		}
		out = append(out, []string{at.At.UTC().Format(time.RFC3339Nano), at.When, f.Check, f.Verdict, strings.Join(grades, "; "), g.Name, value,
			f.Limit, f.Why, f.Source, yesNo(r.visit.Invented())})
	}
	return out
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func plainNumber(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// SamplesCSV writes the levels of Options.Samples by RFC 4180, SI, what is unknown left empty.
func (r Report) SamplesCSV(w io.Writer) error {
	rows := [][]string{{"time", "kind", "ullage_m", "level_m", "level_percent", "volume_m3", "rate_m_per_s", "u_level_m", "pump", "echo_lost", "text", "invented"}}
	for i := range r.opt.Samples {
		rows = append(rows, r.csvSample(&r.opt.Samples[i]))
	}
	return r.csvWrite(w, rows)
}

var kindWords = map[livelevel.Kind]string{livelevel.Report: "report", livelevel.Restart: "restart", livelevel.Rejected: "rejected",
	livelevel.Opened: "opened", livelevel.Lost: "lost", livelevel.Back: "back", livelevel.Tick: "tick", livelevel.Refused: "refused"}

func (r Report) csvSample(l *livelevel.Level) []string {
	pump := ""
	if on, sent := l.Reading.On(livelevel.Pump); sent {
		pump = yesNo(on)
	}
	at := ""
	if !l.Reading.Time.IsZero() {
		at = l.Reading.Time.UTC().Format(time.RFC3339Nano)
	}
	row := []string{at, kindWords[l.Reading.Kind]}
	for _, v := range []float64{l.Ullage, l.Height, l.Percent, l.Volume, l.Rate, l.U} {
		if l.How == livelevel.Unknown {
			v = math.NaN()
		}
		row = append(row, plainNumber(v))
	}
	return append(row, pump, yesNo(l.Reading.EchoLost), l.Reading.Text, yesNo(r.visit.Invented()))
}

func (r Report) csvWrite(w io.Writer, rows [][]string) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true // RFC 4180, section 2, rule 1
	for _, row := range rows {
		for i := range row {
			row[i] = csvCell(row[i])
		}
		if err := out.Write(row); err != nil {
			return fmt.Errorf("writing CSV of visit %s: %w", r.visit.ID, err)
		}
	}
	out.Flush()
	return out.Error()
}

// csvCell keeps a spreadsheet from taking a text for a formula: such a cell gets an apostrophe in
// front. Numbers stay numbers.
func csvCell(s string) string {
	if s == "" {
		return s
	}
	if _, err := strconv.ParseFloat(s, 64); err == nil && strings.Trim(s, "+-.0123456789eE") == "" {
		return s
	}
	s = visible(s)
	if strings.ContainsAny(s[:min(1, len(s))], "=+-@|%\t\r") || strings.HasPrefix(s, "＝") || strings.HasPrefix(s, "＋") ||
		strings.HasPrefix(s, "－") || strings.HasPrefix(s, "＠") {
		return "'" + s
	}
	return s
}
