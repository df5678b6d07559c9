package report

import (
	"math"
	"regexp"
	"strings"

	"example.org/tankhand/faulttree/visit"
)

// InventedNotice stands on every report of a practice rig.
const InventedNotice = "Invented data: this visit was made on the practice rig, not on a real installation."

var plainOutcome = map[string]string{
	visit.MendedProven: "The fault was mended, and a test afterwards showed that the installation works.",
	visit.MendedOnly:   "The fault was mended. It has not been proven yet: the trouble comes and goes, or the test has not run long enough.",
	visit.HandedOn:     "The fault was not found or could not be mended today. What was excluded is listed in the technical part; somebody else takes it on.",
	visit.NoFaultFound: "No fault was found. What was tested is listed in the technical part.",
	visit.NotSafeToday: "The work was stopped because it could not be done safely today.",
}

// customer is page one, in plain words.
func (r Report) customer() []block {
	v := &r.visit
	out := []block{heading{1, r.Title()}}
	if v.Invented() {
		out = append(out, paragraph{InventedNotice, true})
	}
	out = append(out, facts{r.where()})
	if v.Complaint.ID != "" {
		out = append(out, heading{2, "What you told us"}, quote{orWords(v.Complaint.Words, orWords(v.Complaint.Title, v.Complaint.ID))})
	}
	out = append(out, heading{2, "What we found"}, list{r.foundPlain()}, heading{2, "What we did"}, list{r.didPlain()})
	if parts := v.Parts(); len(parts) > 0 {
		out = append(out, paragraph{"Parts: " + strings.Join(parts, ", ") + ".", false})
	}
	out = append(out, heading{2, "Result"})
	for _, p := range r.resultPlain() {
		out = append(out, paragraph{p, false})
	}
	if v.Outcome.Outcome == visit.NotSafeToday && v.Closed {
		out = append(out, paragraph{"Do not open the controller or the pump, and do not enter the tank, until the work was taken up again by licensed people.", true})
	}
	return append(out, lines{[]string{"Technician", "Customer"}})
}

func (r Report) where() [][2]string {
	v := &r.visit
	rows := [][2]string{{"Site", v.Site}, {"Asset", v.Asset}, {"Customer", v.Customer}, {"Technician", v.Technician},
		{"Begun", r.when(v.Begun)}, {"Last entry", r.when(v.Last)}, {"Visit", v.ID}}
	out := rows[:0]
	for _, row := range rows {
		if row[1] != "" {
			out = append(out, row)
		}
	}
	return out
}

func (r Report) foundPlain() []string {
	found := r.visit.Found
	if found == nil {
		return []string{"No findings were recorded."}
	}
	var out []string
	if found.Level != nil {
		out = append(out, "Water level when we came: "+r.level(found.Level)+".")
	} else {
		out = append(out, "No water level could be read when we came.")
	}
	for _, f := range found.Findings {
		if f.Verdict == "fail" {
			out = append(out, sentence(plainly(orWords(f.Why, f.Check))))
		}
	}
	if len(out) == 1 {
		out = append(out, "The automatic checks saw nothing out of order.")
	}
	return out
}

// aside is what stands in brackets: intervals and limits are for the technical part.
var aside = regexp.MustCompile(`\s*\([^()]*\)`)

// plainly leaves a sentence to the customer without its asides.
func plainly(s string) string { return aside.ReplaceAllString(s, "") }

// millimetres are all that a level is worth.
func millimetres(v float64) float64 { return math.Round(v*1000) / 1000 }

func (r Report) didPlain() []string {
	var out []string
	for _, s := range r.visit.Remedies() {
		out = append(out, sentence(orWords(s.Title, s.Cause)))
	}
	if len(out) == 0 {
		return []string{"We tested the installation; nothing was changed."}
	}
	return out
}

func (r Report) resultPlain() []string {
	v := &r.visit
	if !v.Closed {
		return []string{"The visit is still open."}
	}
	o := v.Outcome
	out := []string{sentence(orWords(plainOutcome[o.Outcome], o.Outcome))}
	if o.Cause != "" && o.Cause != "unlisted" {
		out = append(out, "Cause: "+sentence(orWords(o.Title, o.Cause)))
	}
	if o.Because != "" {
		out = append(out, "What had damaged it: "+sentence(orWords(o.BecauseTitle, o.Because)))
	}
	if v.Left != nil && v.Left.Level != nil {
		out = append(out, "Water level when we left: "+r.level(v.Left.Level)+".")
	}
	if o.FollowUp != "" {
		out = append(out, "Still to do: "+sentence(o.FollowUp))
	}
	return out
}

// level says which length it is: a height of water or a distance below the sensor.
func (r Report) level(l *visit.LevelRecord) string {
	var parts []string
	if l.Height != nil {
		parts = append(parts, number(r.opt.Units, "_m", millimetres(*l.Height))+" deep")
	}
	if l.Ullage != nil {
		parts = append(parts, number(r.opt.Units, "_m", millimetres(*l.Ullage))+" below the sensor")
	}
	if l.Percent != nil {
		parts = append(parts, number(r.opt.Units, "_percent", *l.Percent))
	}
	if l.Volume != nil {
		parts = append(parts, number(r.opt.Units, "_m3", *l.Volume))
	}
	if len(parts) == 0 {
		return Unknown
	}
	return strings.Join(parts, ", ")
}
