package visit

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/livelevel/feed"
)

var begun = time.Date(2026, 5, 4, 7, 31, 0, 123456789, time.UTC)

func p(v float64) *float64 { return &v }

// bodies of a whole visit on the invented site, in order.
func scriptedBodies() []Body {
	return []Body{
		BegunBody{Site: "Quarry Lane glasshouse", Asset: "HT-2", Technician: "A. Example", Customer: "Example Growers"},
		OpenedBody{Source: "rig:supply-sags", Baud: 115200, Invented: true, SheetName: "ht-2.yaml", Sheet: "sheet: tankhand/site/1\n"},
		ComplaintBody{ID: "relay-chatter", Title: "Relay chatter", Words: "It clatters all night", Knowledge: "k-1", Priors: map[string]float64{"brownout": 0.3}},
		FindingsBody{When: AsFound, Level: &LevelRecord{At: begun, How: "smoothed", Height: p(0.888)},
			Findings: []FindingRecord{{Check: "relay-switching", Verdict: "fail", Why: "relay switches 41 an hour", Figures: []FigureRecord{{Name: "starts", Value: nil}}}},
			Capture:  &feed.Citation{Path: "c.jsonl", Length: 100, SHA256: "aa"}},
		ShownBody{Probe: "board-volts", Title: "Volts at the board", Why: "parts cable from supply", Minutes: 3},
		CautionBody{Step: "board-volts", Cautions: []CautionRecord{{Hazard: "elv", Text: "Low voltage only."}}},
		StepBody{Step: faulttree.Step{Act: faulttree.Answered, Probe: "board-volts", Answer: "dips", Value: p(4.21), Minutes: 3}, Unit: "V"},
		StepBody{Step: faulttree.Step{Act: faulttree.Remedied, Cause: "cable-thin", Minutes: 15}, Parts: []string{"cable"}},
		StepBody{Step: faulttree.Step{Act: faulttree.ProofRun, Probe: "board-volts", Cause: "cable-thin", Answer: "holds up", Minutes: 3}, Proven: true},
		NoteBody{Text: "Joint box was wet", Files: []Attachment{{Path: "joint.jpg", Length: 4, SHA256: "bb"}}},
		FindingsBody{When: AsLeft, Level: &LevelRecord{At: begun, Height: p(1.2)}, Capture: &feed.Citation{Path: "c.jsonl", Length: 900, SHA256: "cc"}},
		EndedBody{Why: "closed by us", Capture: &feed.Citation{Path: "c.jsonl", Length: 950, SHA256: "dd"}},
		OutcomeBody{Outcome: MendedProven, Cause: "cable-thin", Believed: "cable-thin", Proven: "cable-thin", FollowUp: "Look again after rain", Minutes: 21},
	}
}

func event(t testing.TB, visit string, seq int64, b Body) Event {
	e, err := New(b)
	require.NoError(t, err)
	return e.Stamp(fmt.Sprintf("%s-e%04d", visit, seq), visit, seq, begun.Add(time.Duration(seq)*time.Minute))
}

func scripted(t testing.TB, visit string) []Event {
	var out []Event
	for i, b := range scriptedBodies() {
		out = append(out, event(t, visit, int64(i+1), b))
	}
	return out
}
