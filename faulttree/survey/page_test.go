package survey_test

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/diagnostics/script"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/survey"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/testdata/golden"
)

// installation is the sheet of the invented glasshouse, in the script language.
const installation = `seed 3
sheet sensor.face_height 1.75 m
sheet sensor.blanking 0.25 m
sheet marks.full 0.35 m
sheet marks.empty 1.70 m
sheet marks.low_set 40 %
sheet marks.full_set 95 %
sheet pump.healthy_flow 2.3 m3/h
tank box 1 m 0.95 m 1.6 m
every 1s
noise 2 mm
step 1 mm
set mode 1
ullage 1.05 m
`

// scenes are feeds made of a few lines, with the complaints that a technician should be told of.
var scenes = []struct {
	name, text string
	seen       []string
	status     survey.Exit
}{
	{"healthy", "pump off\nramp 0.1 mm/s\nplay 20m\npump on\nramp -0.5725 mm/s\nplay 12m\npump off\nramp 0.1 mm/s\nplay 60m\n", nil, survey.Good},
	{"no-echo", "pump off\nplay 10m\nlose 95 %\nplay 30m\n", []string{"no-echo"}, survey.Failed},
	{"several", "pump off\nlose 97 %\nplay 20m\nlose 0 %\nrepeat 40\npump on\nplay 4s\npump off\nplay 6s\nend\n", []string{"no-echo", "relay-chatter"}, survey.Failed},
	{"no-pump", "noise 2 mm\nplay 30m\n", nil, survey.Good},
}

// snapshot is what a session would show at the end of a script.
func snapshot(t *testing.T, text string) *visit.Snapshot {
	t.Helper()
	s, err := script.Parse("scene.txt", installation+text)
	require.NoError(t, err)
	found, err := s.Findings()
	require.NoError(t, err)
	var last livelevel.Level
	n := int64(0)
	require.NoError(t, s.Readings(func(l *livelevel.Level) { last = *l; n++ }))
	last.Percent, last.Volume, last.Rate, last.U = math.NaN(), math.NaN(), math.NaN(), 0.004
	from := found[0].Evidence.From
	return &visit.Snapshot{Now: last.Reading.Time, Findings: found, Seen: faulttree.Seen(base(t), found), Level: last, Largest: "mostly the face's height",
		Sheet: &site.Sheet{Site: "Quarry Lane glasshouse", Asset: "HT-2"}, Settled: true, State: visit.Over,
		Feed: feed.Stats{Source: "scene.txt", Times: livelevel.ByLine, Bytes: 40 * n, Lines: n, Readings: n, From: from, To: last.Reading.Time, DialectConfidence: 0.98}}
}

func base(t *testing.T) *knowledge.Base {
	t.Helper()
	b, err := knowledge.Load("")
	require.NoError(t, err)
	return b
}

func page(t *testing.T, snap *visit.Snapshot) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, survey.Page{Base: base(t), Units: quantity.Metric, FeedWords: "--file scene.txt"}.Write(&b, snap))
	return b.String()
}

// TestPages holds the page of each scene to its golden file and to what a phone shows: 80 columns, fails before
// passes before what cannot be told, and what to do next for each complaint.
func TestPages(t *testing.T) {
	for _, scene := range scenes {
		t.Run(scene.name, func(t *testing.T) {
			snap := snapshot(t, scene.text)
			text := page(t, snap)
			golden.Equal(t, scene.name+".txt", text)
			assert.Equal(t, scene.status, survey.Status(snap.Findings))

			last := 0
			for _, line := range strings.Split(text, "\n") {
				assert.LessOrEqual(t, utf8.RuneCountInString(line), 80, line)
				if rank := strings.Index("!+?", first(line)) + 1; rank > 0 {
					assert.GreaterOrEqual(t, rank, last, "worst first: %s", line)
					last = rank
				}
			}
			for _, id := range scene.seen {
				assert.Contains(t, text, "next: tankhand walk "+id+" --file scene.txt")
			}
			if len(scene.seen) == 0 {
				assert.Contains(t, text, "No complaint shows in this feed.")
				assert.NotContains(t, text, "next:")
			}
		})
	}
}

// first is the first character of a line that is not set in; "\n" of others, which no finding begins with.
func first(line string) string {
	if len(line) < 2 || line[1] != ' ' {
		return "\n"
	}
	return line[:1]
}

type document struct {
	Schema   string
	Findings []struct {
		Check, Verdict, Limit, Why, Source string
		Grades                             map[string]string
		Figures                            map[string]*float64
		Episodes                           []struct {
			From, To *time.Time
			Figures  map[string]*float64
		}
	}
	Complaints []struct {
		Complaint string
		Seen      bool
		Because   []string
	}
	Suspects []struct {
		Complaint, Cause string
		Probability      float64
	}
}

func documentOf(t *testing.T, snap *visit.Snapshot) (doc document) {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, survey.WriteJSON(&b, base(t), snap))
	require.NoError(t, json.Unmarshal(b.Bytes(), &doc))
	return doc
}

// TestDocuments: all checks and all eight complaints are always there, those are seen that should be and no others,
// and suspects are given for them.
func TestDocuments(t *testing.T) {
	for _, scene := range scenes {
		doc := documentOf(t, snapshot(t, scene.text))
		assert.Equal(t, "tankhand/survey/1", doc.Schema)
		assert.Len(t, doc.Findings, len(diagnostics.Checks()))
		assert.Len(t, doc.Complaints, 8)
		var seen []string
		for _, c := range doc.Complaints {
			if c.Seen {
				seen = append(seen, c.Complaint)
				assert.NotEmpty(t, c.Because)
			}
		}
		assert.ElementsMatch(t, scene.seen, seen, scene.name)
		sum := map[string]float64{}
		for _, s := range doc.Suspects {
			sum[s.Complaint] += s.Probability
		}
		require.Len(t, sum, len(scene.seen))
		for id, p := range sum {
			assert.InDelta(t, 1, p, 1e-6, id)
		}
	}
}

// TestEpisodesBeginAndEnd: echoes are lost from minute 10 to 20 and from 40 to 50, and the document says so.
func TestEpisodesBeginAndEnd(t *testing.T) {
	snap := snapshot(t, "pump off\nplay 10m\nlose 95 %\nplay 10m\nlose 0 %\nplay 20m\nlose 95 %\nplay 10m\nlose 0 %\nplay 20m\n")
	start := snap.Feed.From
	for _, f := range documentOf(t, snap).Findings {
		if f.Check != "echo-dropouts" {
			continue
		}
		require.Len(t, f.Episodes, 2)
		for i, want := range []time.Duration{10 * time.Minute, 40 * time.Minute} {
			e := f.Episodes[i]
			assert.InDelta(t, want.Seconds(), e.From.Sub(start).Seconds(), 60)
			assert.InDelta(t, 10*60, e.To.Sub(*e.From).Seconds(), 90)
			assert.Greater(t, *e.Figures["dropout_fraction"], 0.8)
		}
	}
}

// TestHostileTextsStayTexts: what a feed or a sheet brings cannot move the cursor, colour the page or break its lines.
func TestHostileTextsStayTexts(t *testing.T) {
	const evil = "a\x1b[2Jb\x07c\r\nd\u202ee\u0000f\xff"
	snap := snapshot(t, scenes[1].text)
	snap.Feed.Source, snap.Sheet.Site, snap.Sheet.Asset, snap.Dialect.Name = evil, evil, evil, evil
	for i := range snap.Findings {
		snap.Findings[i].Why += evil
		snap.Findings[i].Missing += evil
	}
	for _, r := range page(t, snap) {
		assert.True(t, r == '\n' || unicode.IsPrint(r), "%U", r)
	}
	var b bytes.Buffer
	require.NoError(t, survey.WriteJSON(&b, base(t), snap))
	assert.True(t, json.Valid(b.Bytes()))
	for _, c := range b.Bytes() {
		assert.True(t, c == '\n' || c >= 0x20, "%x", c)
	}
}

// TestNothingHeard: before the first line there is a page and a document too, and neither invents a figure.
func TestNothingHeard(t *testing.T) {
	found := diagnostics.NewMonitor(nil, 0).Findings(time.Time{})
	snap := &visit.Snapshot{Findings: found, Seen: faulttree.Seen(base(t), found), Level: livelevel.Level{Why: "nothing was heard."}}
	text := page(t, snap)
	assert.Contains(t, text, "Level: not known")
	assert.NotContains(t, text, "NaN")
	assert.Equal(t, survey.CannotTell, survey.Status(found))
	for _, f := range documentOf(t, snap).Findings {
		assert.Equal(t, "cannot-tell", f.Verdict, f.Check)
		assert.NotEmpty(t, f.Why, f.Check)
	}
}
