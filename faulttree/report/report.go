// Package report puts a visit on paper: Markdown, a self-contained HTML page, PDF, CSV and JSON, all
// from one Report. Page one is for the customer in plain words, the rest is the technical part.
package report

import (
	"fmt"
	"time"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
)

// Options say how a report is written. The zero value is metric, in UTC, on A4, without a chart.
type Options struct {
	Units    Units
	Location *time.Location // nil: UTC
	// Chart is the level over time, oldest first; it comes from replaying the raw capture.
	Chart []visit.Point
	// Samples are the levels for SamplesCSV.
	Samples []livelevel.Level
	Program string // name and version that stand in the footer
	Paper   Paper
	// CustomerOnly leaves the technical part out: page one alone.
	CustomerOnly bool
}

// Paper is the size of a page.
type Paper uint8

// The papers.
const (
	A4 Paper = iota
	Letter
)

// Report is a visit ready to be written in any format.
type Report struct {
	visit visit.Visit
	opt   Options
}

// New makes the report of a visit.
func New(v visit.Visit, opt Options) Report {
	if opt.Location == nil {
		opt.Location = time.UTC
	}
	if opt.Program == "" {
		opt.Program = "tankhand"
	}
	return Report{visit: v, opt: opt}
}

// blocks are all that is written.
func (r Report) blocks() []block {
	if r.opt.CustomerOnly {
		return r.customer()
	}
	return append(r.customer(), r.technical()...)
}

// Title names the report.
func (r Report) Title() string {
	if n := r.visit.Number; n > 0 {
		return fmt.Sprintf("Service report, visit %d", n)
	}
	return "Service report, visit " + short(r.visit.ID)
}

// short is the beginning of an id, enough to find the visit again.
func short(id string) string {
	if len(id) > 8 {
		return id[:8]
	}
	return id
}

func (r Report) when(t time.Time) string {
	if t.IsZero() {
		return "unknown"
	}
	return t.In(r.opt.Location).Format("2006-01-02 15:04 MST")
}

func (r Report) clock(t time.Time) string { return t.In(r.opt.Location).Format("01-02 15:04:05") }
