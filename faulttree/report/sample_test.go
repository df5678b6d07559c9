package report

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/feed"
)

var begun = time.Date(2026, 5, 4, 7, 31, 0, 0, time.UTC)

func p(v float64) *float64 { return &v }

func folded(t testing.TB, bodies []visit.Body) visit.Visit {
	var events []visit.Event
	for i, b := range bodies {
		e, err := visit.New(b)
		require.NoError(t, err)
		id := fmt.Sprintf("00000000-0000-4000-8000-%012d", i+1)
		events = append(events, e.Stamp(id, "5c1e0c4e-7d5b-4c8e-9a57-0d3f6a1b2c3d", int64(i+1), begun.Add(time.Duration(i)*time.Minute)))
	}
	v, err := visit.Fold(events)
	require.NoError(t, err)
	v.Number = 3
	return v
}

func findings(starts, restarts float64, verdict, amount string) []visit.FindingRecord {
	return []visit.FindingRecord{
		{Check: "relay-switching", Verdict: verdict, Grades: []visit.GradeRecord{{Aspect: "amount", Word: amount}},
			Figures: []visit.FigureRecord{{Name: "starts_per_h_worst", Value: p(starts)}, {Name: "shortest_on_s", Value: p(1.5)}},
			Limit:   "at most 15 starts an hour", Source: "motor sheet", Why: fmt.Sprintf("the relay switches %.0f times an hour (limit 15)", starts)},
		{Check: "restarts", Verdict: verdict, Grades: []visit.GradeRecord{{Aspect: "when", Word: "relay-pulls-in"}},
			Figures: []visit.FigureRecord{{Name: "restarts", Value: p(restarts)}}, Limit: "none", Why: fmt.Sprintf("%.0f restarts as the relay pulls in", restarts)},
		{Check: "fill-rate", Verdict: "cannot-tell", Figures: []visit.FigureRecord{{Name: "fill_m3_per_h", Value: nil}}, Missing: "two minutes of pumping"},
		{Check: "reading-spread", Verdict: "pass", Grades: []visit.GradeRecord{{Aspect: "amount", Word: "small"}},
			Figures: []visit.FigureRecord{{Name: "spread_m", Value: p(0.0042), Unit: "cm"}}, Limit: "at most 1 cm", Source: "common practice, no source"},
	}
}

// sampleBodies are a visit on the invented site of all demo data.
func sampleBodies() []visit.Body {
	capture := &feed.Citation{Path: "2026-05-04-ht-2.jsonl", Length: 120400, SHA256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"}
	return []visit.Body{
		visit.BegunBody{Site: "Quarry Lane glasshouse", Asset: "HT-2", Technician: "A. Example", Customer: "Example Growers"},
		visit.OpenedBody{Source: "practice rig", Baud: 115200, Invented: true, SheetName: "ht-2.yaml", DialectName: "workshop-board"},
		visit.ComplaintBody{ID: "relay-chatter", Title: "Relay chatter", Words: "It clatters all night and the tomatoes get no water", Knowledge: "k-77aa"},
		visit.FindingsBody{When: visit.AsFound, Level: &visit.LevelRecord{Height: p(0.888), Ullage: p(0.862), Percent: p(62), Volume: p(0.844)},
			Findings: findings(41, 9, "fail", "many"), Capture: capture,
			Desk: []visit.FindingRecord{{Check: "cable-drop", Verdict: "fail", Why: "0.31 V lost in 6 m of 0.5 mm2", Change: "1.5 mm2 loses 0.11 V", Limit: "at most 0.15 V"}}},
		visit.CautionBody{Step: "board-volts", Cautions: []visit.CautionRecord{{Hazard: "mains-live", Text: "Mains may be in this box. Keep the cover on the mains side. Licensed people only."}}},
		visit.StepBody{Step: faulttree.Step{Act: faulttree.Evidence, Grades: map[string]string{"relay-amount": "many"}}},
		visit.StepBody{Step: faulttree.Step{Act: faulttree.Answered, Probe: "board-volts", Answer: "dips", Value: p(4.21), Minutes: 3, Why: "parts cable from supply; 22 min expected with it"},
			Title: "Volts at the board as the relay pulls in", From: "measured", Unit: "V", Limit: "above 4.75 V"},
		visit.StepBody{Step: faulttree.Step{Act: faulttree.NotSafe, Probe: "contact-look", Minutes: 0, Reason: "water in the box"}, Title: "Look at the contacts", From: "looked"},
		visit.StepBody{Step: faulttree.Step{Act: faulttree.Answered, Probe: "wiggle", Answer: "nothing", Minutes: 2}, Title: "Wiggle the cable"},
		visit.UndoBody{Event: "00000000-0000-4000-8000-000000000009", Reason: "wrong cable"},
		visit.StepBody{Step: faulttree.Step{Act: faulttree.Remedied, Cause: "cable-thin", Minutes: 20}, Title: "Fit a thicker supply cable", CauseTitle: "Supply cable too thin", Parts: []string{"cable 1.5 mm2, 6 m", "ferrules"}},
		visit.StepBody{Step: faulttree.Step{Act: faulttree.ProofRun, Probe: "board-volts", Cause: "cable-thin", Answer: "holds up", Value: p(4.93), Minutes: 3}, Title: "Volts at the board as the relay pulls in", Unit: "V", Proven: true},
		visit.FindingsBody{When: visit.AsLeft, Level: &visit.LevelRecord{Height: p(1.204), Ullage: p(0.546)}, Findings: findings(4, 0, "pass", "rare"), Capture: capture},
		visit.NoteBody{Text: "Gland was loose, tightened", Files: []visit.Attachment{{Path: "gland.jpg", Length: 34567, SHA256: "2c26b46b68ffc68ff99b453c1d30413413422d706483bfa0f98a5e886266e7ae"}}},
		visit.CorrectionBody{Field: "customer", Value: "Example Growers Ltd", Reason: "full name"},
		visit.EndedBody{Why: "closed by us", Capture: capture},
		visit.OutcomeBody{Outcome: visit.MendedProven, Cause: "cable-thin", Title: "Supply cable too thin", Believed: "cable-thin", Proven: "cable-thin", FollowUp: "look at the gland after the next rain", Minutes: 28},
	}
}

func samplePoints() []visit.Point {
	var out []visit.Point
	for i := range 240 {
		h := 0.888 + 0.316*float64(i)/240 + 0.01*math.Sin(float64(i)/3)
		pt := visit.Point{At: begun.Add(time.Duration(i) * 15 * time.Second), Height: h, Low: h - 0.008, High: h + 0.008, Pump: i/20%2 == 1}
		pt.Restart, pt.Dropout = i%40 == 20 && i < 130, i == 70
		if i > 60 && i < 66 {
			pt.Height, pt.Low, pt.High = math.NaN(), math.NaN(), math.NaN()
		}
		out = append(out, pt)
	}
	return out
}

func sample(t testing.TB, u Units) Report {
	return New(folded(t, sampleBodies()), Options{Units: u, Chart: samplePoints(), Program: "tankhand test"})
}
