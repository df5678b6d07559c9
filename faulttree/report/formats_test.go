package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/testdata/golden"
	"example.org/tankhand/testdata/reference"
)

func written(t testing.TB, f func(io.Writer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, f(&b))
	return b.Bytes()
}

func TestHTMLGolden(t *testing.T) { golden.Equal(t, "visit.html", written(t, sample(t, Metric).HTML)) }

func TestJSONGolden(t *testing.T) { golden.Equal(t, "visit.json", written(t, sample(t, Metric).JSON)) }

func TestCSVGolden(t *testing.T) { golden.Equal(t, "visit.csv", written(t, sample(t, Metric).CSV)) }

func TestHTMLNeedsNothingFromOutside(t *testing.T) {
	out := string(written(t, sample(t, Metric).HTML))
	for _, bad := range []string{"http:", "https:", "<script", "<link", "@import", "url(", "src="} {
		assert.NotContains(t, out, bad)
	}
	assert.Contains(t, out, "<svg")
	assert.Contains(t, out, InventedNotice)
	assert.Equal(t, strings.Count(out, "<td"), strings.Count(out, "</td>"))
}

// hostile is a visit in which every text is an attack on one of the formats.
func hostile(t testing.TB) Report {
	bad := "=cmd|' /C calc'!A0\"><script>alert(1)</script>{{.}}](javascript:x)|\x1b[2J\u202e\x00\xff\U0001F600\r\n=1+1"
	return New(folded(t, []visit.Body{
		visit.BegunBody{Site: bad, Asset: bad, Technician: bad, Customer: bad},
		visit.OpenedBody{Source: bad, SheetName: bad, DialectName: bad},
		visit.ComplaintBody{ID: bad, Title: bad, Words: bad, Knowledge: bad},
		visit.FindingsBody{When: visit.AsFound, Findings: []visit.FindingRecord{{Check: bad, Verdict: bad, Limit: bad, Why: bad, Source: bad, Missing: bad, Change: bad,
			Grades: []visit.GradeRecord{{Aspect: bad, Word: bad}}, Figures: []visit.FigureRecord{{Name: bad, Value: p(1), Unit: bad}}}}},
		visit.CautionBody{Step: bad, Cautions: []visit.CautionRecord{{Hazard: bad, Text: bad}}},
		visit.StepBody{Step: faulttree.Step{Act: faulttree.Act(bad), Probe: bad, Cause: bad, Answer: bad, Reason: bad, Why: bad, Outcome: bad}, Title: bad, From: bad, Unit: bad, Limit: bad},
		visit.StepBody{Step: faulttree.Step{Act: faulttree.Remedied, Cause: bad}, Title: bad, Parts: []string{bad}},
		visit.NoteBody{Text: bad + strings.Repeat("long ", 5000), Files: []visit.Attachment{{Path: bad, SHA256: bad}}},
		visit.CorrectionBody{Field: "site", Value: bad, Reason: bad},
		visit.OutcomeBody{Outcome: bad, Cause: bad, Title: bad, Believed: bad, Proven: bad, FollowUp: bad},
	}), Options{Chart: samplePoints(), Program: bad})
}

func TestHostileTextsStayTexts(t *testing.T) {
	r := hostile(t)
	page := string(written(t, r.HTML))
	assert.NotContains(t, page, "<script")
	assert.NotContains(t, page, "\x1b")
	assert.NotContains(t, page, "\u202e")
	md := string(written(t, r.Markdown))
	assert.NotContains(t, md, "<script")
	assert.Equal(t, strings.Count(md, "](javascript"), strings.Count(md, `\](javascript`), "no bracket is left that could make a link")
	assert.NotContains(t, md, "\x1b")
	assert.Less(t, len(md), 200_000, "long texts are cut")
	assert.True(t, bytes.HasPrefix(written(t, r.PDF), []byte("%PDF-")))
	rows, err := csv.NewReader(bytes.NewReader(written(t, r.CSV))).ReadAll()
	require.NoError(t, err)
	for _, row := range rows[1:] {
		for _, cell := range row {
			if cell != "" {
				assert.NotContains(t, "=+-@|%\t\r", cell[:1], "a spreadsheet would take %q for a formula", cell)
			}
		}
	}
	assert.True(t, json.Valid(written(t, r.JSON)))
}

// RFC 4180 section 2 rule 1: records end with CRLF; rules 5 to 7 on quotes are held by encoding/csv,
// whose reader gets everything back.
func TestCSVIsRFC4180AndNumbersStayNumbers(t *testing.T) {
	out := string(written(t, sample(t, US).CSV))
	assert.Equal(t, strings.Count(out, "\n"), strings.Count(out, "\r\n"))
	rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	require.NoError(t, err)
	assert.Len(t, rows, 1+2*5+1)
	for in, want := range map[string]string{"-1.5": "-1.5", "+3e-2": "+3e-2", "-Inf": "'-Inf", "=1": "'=1", "@x": "'@x", "a": "a", "": "",
		"-cmd": "'-cmd", "＝1": "'＝1", "\t=1": "'=1"} {
		assert.Equal(t, want, csvCell(in), "%q", in)
	}
}

func TestSamplesCSV(t *testing.T) {
	l := livelevel.Level{How: livelevel.Measured, Ullage: 0.862, Height: 0.888, Percent: math.NaN()}
	l.Reading.Time = begun
	l.Reading.Set(livelevel.Pump, 1)
	boot := livelevel.Level{}
	boot.Reading.Kind, boot.Reading.Text = livelevel.Restart, "=boot"
	out := string(written(t, New(folded(t, sampleBodies()), Options{Samples: []livelevel.Level{l, boot}}).SamplesCSV))
	assert.Equal(t, "time,kind,ullage_m,level_m,level_percent,volume_m3,rate_m_per_s,u_level_m,pump,echo_lost,text,invented\r\n"+
		"2026-05-04T07:31:00Z,report,0.862,0.888,,0,0,0,yes,no,,yes\r\n,restart,,,,,,,,no,'=boot,yes\r\n", out)
}

func TestPDFIsTheSameEveryTime(t *testing.T) {
	a, b := written(t, sample(t, Metric).PDF), written(t, sample(t, Metric).PDF)
	assert.True(t, bytes.Equal(a, b))
	assert.Less(t, len(a), 400_000)
}

func TestPDFText(t *testing.T) {
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed")
	}
	path := filepath.Join(t.TempDir(), "visit.pdf")
	for _, paper := range []Paper{A4, Letter} {
		r := sample(t, Metric)
		r.opt.Paper = paper
		require.NoError(t, os.WriteFile(path, written(t, r.PDF), 0o600))
		out, err := exec.Command(tool, "-layout", path, "-").Output()
		require.NoError(t, err)
		for _, want := range []string{InventedNotice, "It clatters all night", "Technician, date, signature", "Technical part",
			"parts cable from supply", "9f86d081884c7d65", "page 1 of ", "supply cable"} {
			assert.True(t, strings.Contains(string(out), want), want)
		}
		pages := strings.Split(string(out), "\f")
		assert.NotContains(t, pages[0], "Technical part", "page one is the customer's")
	}
}

func TestEveryFormatTakesAnEmptyVisit(t *testing.T) {
	r := New(folded(t, []visit.Body{visit.NoteBody{Text: ""}}), Options{Chart: make([]visit.Point, 3)})
	for _, format := range Formats() {
		assert.NotEmpty(t, written(t, func(w io.Writer) error { return r.Write(w, format) }), format)
	}
	assert.NotEmpty(t, written(t, r.SamplesCSV))
	assert.ErrorContains(t, r.Write(io.Discard, "docx"), "html, pdf, markdown, csv, json")
}

// Exact by definition: 1 in = 25.4 mm, 1 US gallon = 3.785411784 litres.
func TestUnits(t *testing.T) {
	for _, c := range []struct {
		u    Units
		name string
		v    float64
		want string
	}{
		{Metric, "level_m", 0.888, "0.888 m"}, {Metric, "spread_m", 0.0042, "4.2 mm"}, {US, "spread_m", 0.0254, "1 in"},
		{US, "volume_m3", 3.785411784, "1000 gal"}, {US, "fill_m3_per_h", 3.785411784 * 60 / 1000, "1 gpm"}, {Metric, "fill_low", 2.3, "2.3 m3/h"},
		{Metric, "dropout_fraction", 0.341, "34.1 %"}, {Metric, "level_percent", 62, "62 %"}, {Metric, "starts_per_h_worst", 41, "41/h"},
		{Metric, "false_switches_per_h", 0.25, "0.3/h"}, {Metric, "lowest_v", 4.21, "4.21 V"}, {Metric, "starts", 7, "7"}, {Metric, "x", math.NaN(), Unknown},
		{Metric, "rate_hz", 10.2, "10.2 Hz"}, {Metric, "longest_gap_s", 12.34, "12.34 s"},
	} {
		assert.Equal(t, c.want, number(c.u, c.name, c.v), "%s %v", c.name, c.v)
	}
}

func TestNotSafeIsSaidOnPageOne(t *testing.T) {
	bodies := append(sampleBodies(), visit.OutcomeBody{Outcome: visit.NotSafeToday})
	page, _, _ := strings.Cut(markdown(t, New(folded(t, bodies), Options{})), "# Technical part")
	assert.Contains(t, page, "until the work was taken up again by licensed people")
	assert.NotContains(t, strings.Split(markdown(t, sample(t, Metric)), "# Technical part")[0], "until the work")
}

// TestWhatDidTheDamageIsSaid: the part that was found dead is the cause, what killed it is said beside it, also where
// it was asked in vain.
func TestWhatDidTheDamageIsSaid(t *testing.T) {
	asked := visit.StepBody{Step: faulttree.Step{Act: faulttree.FollowedUp, Cause: "input-dead"}, Title: "What killed it?"}
	closed := visit.OutcomeBody{Outcome: visit.MendedProven, Cause: "input-dead", Title: "Echo input damaged", Proven: "input-dead"}
	open := markdown(t, New(folded(t, append(sampleBodies(), asked, closed)), Options{}))
	assert.Contains(t, open, "Asked beyond the cure")
	assert.Contains(t, open, "What did the damage was asked and stays open")
	closed.Because, closed.BecauseTitle = "echo-5v", "5 V echo fed straight into a 3.3 V input"
	found := markdown(t, New(folded(t, append(sampleBodies(), asked, closed)), Options{}))
	customer, technical, _ := strings.Cut(found, "# Technical part")
	assert.Contains(t, customer, "What had damaged it: 5 V echo fed straight")
	assert.Contains(t, technical, "What did the damage: 5 V echo fed straight")
	assert.NotContains(t, markdown(t, sample(t, Metric)), "damage:")
}

func FuzzTextsAreHarmless(f *testing.F) {
	f.Add("=a|b<c>\x1b\xff\U0001F600\n- x")
	f.Fuzz(func(t *testing.T, s string) {
		assert.NotContains(t, mdText(s), "<")
		assert.NotContains(t, visible(s), "\x1b")
		r := New(folded(t, []visit.Body{visit.NoteBody{Text: s}}), Options{})
		for _, w := range []func(io.Writer) error{r.Markdown, r.HTML, r.PDF, r.JSON} {
			require.NoError(t, w(io.Discard))
		}
	})
}

// Source: RFC 4180 (2005) section 2. A text that needs
// no guard against spreadsheets must come out byte for byte as there; every text must come back.
func TestCSVAgainstTheCasesOfRFC4180(t *testing.T) {
	same := 0
	for _, c := range reference.Table(t, "rfc4180_cases.csv") {
		var fields []string
		var record string
		require.NoError(t, json.Unmarshal([]byte(c.Text("fields_json")), &fields))
		require.NoError(t, json.Unmarshal([]byte(c.Text("record_json")), &record))
		guarded := make([]string, len(fields))
		for i, f := range fields {
			guarded[i] = csvCell(f)
		}
		out := written(t, func(w io.Writer) error { return Report{}.csvWrite(w, [][]string{append([]string(nil), fields...)}) })
		back, err := csv.NewReader(bytes.NewReader(out)).Read()
		require.NoError(t, err)
		assert.Equal(t, guarded, back)
		if assert.ObjectsAreEqual(fields, guarded) {
			same++
			assert.Equal(t, record, string(out))
		}
	}
	assert.GreaterOrEqual(t, same, 2)
}
