package report

import (
	"encoding/json"
	"fmt"
	"io"
	"time"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/feed"
)

// Schema names the JSON of a report.
const Schema = "tankhand/report/1"

// document is the JSON of a report: SI throughout, the words of the events.
type document struct {
	Schema      string               `json:"schema"`
	Visit       string               `json:"visit"`
	Number      int64                `json:"number,omitempty"`
	Invented    bool                 `json:"invented"`
	Begun       time.Time            `json:"begun"`
	Last        time.Time            `json:"last"`
	Site        string               `json:"site"`
	Asset       string               `json:"asset"`
	Customer    string               `json:"customer,omitempty"`
	Technician  string               `json:"technician,omitempty"`
	Complaint   *visit.ComplaintBody `json:"complaint"`
	Sources     []source             `json:"sources"`
	AsFound     *visit.FindingsBody  `json:"as_found"`
	AsLeft      *visit.FindingsBody  `json:"as_left"`
	Steps       []step               `json:"steps"`
	Parts       []string             `json:"parts"`
	Cautions    []caution            `json:"cautions"`
	Notes       []note               `json:"notes"`
	Corrections []correction         `json:"corrections"`
	Captures    []feed.Citation      `json:"captures"`
	Minutes     float64              `json:"minutes"`
	Closed      bool                 `json:"closed"`
	Outcome     *visit.OutcomeBody   `json:"outcome"`
	Unread      []string             `json:"unread,omitempty"`
}

type (
	source struct {
		visit.OpenedBody
		From    time.Time      `json:"from"`
		To      time.Time      `json:"to,omitzero"`
		Why     string         `json:"ended,omitempty"`
		Capture *feed.Citation `json:"capture,omitempty"`
	}
	step struct {
		At time.Time `json:"at"`
		visit.StepBody
		Undone bool `json:"undone,omitempty"`
	}
	caution struct {
		At time.Time `json:"at"`
		visit.CautionBody
	}
	note struct {
		At time.Time `json:"at"`
		visit.NoteBody
		Undone bool `json:"undone,omitempty"`
	}
	correction struct {
		At time.Time `json:"at"`
		visit.CorrectionBody
		Was string `json:"was"`
	}
)

// JSON writes the report as one JSON document.
func (r Report) JSON(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	if err := enc.Encode(r.document()); err != nil {
		return fmt.Errorf("writing the report of visit %s as JSON: %w", r.visit.ID, err)
	}
	return nil
}

func (r Report) document() document {
	v := &r.visit
	d := document{Schema: Schema, Visit: v.ID, Number: v.Number, Invented: v.Invented(), Begun: v.Begun, Last: v.Last, Site: v.Site,
		Asset: v.Asset, Customer: v.Customer, Technician: v.Technician, AsFound: v.Found, AsLeft: v.Left, Parts: nonNil(v.Parts()),
		Captures: v.Captures(), Minutes: v.Minutes(), Closed: v.Closed, Unread: v.Unread, Sources: []source{}, Steps: []step{},
		Cautions: []caution{}, Notes: []note{}, Corrections: []correction{}}
	if v.Complaint.ID != "" {
		d.Complaint = &v.Complaint
	}
	if v.Outcome.Outcome != "" {
		d.Outcome = &v.Outcome
	}
	for _, s := range v.Sources {
		d.Sources = append(d.Sources, source{OpenedBody: s.OpenedBody, From: s.From, To: s.To, Why: s.Why, Capture: s.Capture})
	}
	for _, s := range v.Steps {
		d.Steps = append(d.Steps, step{At: s.At, StepBody: s.StepBody, Undone: s.Undone})
	}
	for _, c := range v.Cautions {
		d.Cautions = append(d.Cautions, caution{c.At, c.CautionBody})
	}
	for _, n := range v.Notes {
		d.Notes = append(d.Notes, note{n.At, n.NoteBody, n.Undone})
	}
	for _, c := range v.Corrections {
		d.Corrections = append(d.Corrections, correction{c.At, c.CorrectionBody, c.Was})
	}
	return d
}

func nonNil(in []string) []string {
	if in == nil {
		return []string{}
	}
	return in
}
