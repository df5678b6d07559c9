package survey

import (
	"encoding/json"
	"io"
	"math"
	"strings"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
)

// WriteDesk writes what a site sheet alone tells: the facts derived from it, then the desk checks
// with the worst first.
func (p Page) WriteDesk(w io.Writer, sheet *site.Sheet, findings []diagnostics.Finding) error {
	var b strings.Builder
	paragraph(&b, "", "site sheet "+visible(sheet.File)+": "+visible(nameOf(sheet)))
	b.WriteString("\n")
	for _, f := range site.Facts(sheet) {
		text := f.Name + ": " + f.Text(p.Units)
		if f.Note != "" {
			text += " (" + f.Note + ")"
		}
		paragraph(&b, "  ", text)
	}
	b.WriteString("\n")
	p.findings(&b, findings, nil)
	_, err := io.WriteString(w, b.String())
	return err
}

// nameOf is the installation as its sheet calls it.
func nameOf(sheet *site.Sheet) string {
	switch {
	case sheet.Site == "" && sheet.Asset == "":
		return "it names no site"
	case sheet.Site == "" || sheet.Asset == "":
		return sheet.Site + sheet.Asset
	}
	return sheet.Site + " / " + sheet.Asset
}

// DeskSchema names the document of a desk check and its version.
const DeskSchema = "tankhand/site-check/1"

type deskDocument struct {
	Schema   string        `json:"schema"`
	Facts    []factPart    `json:"facts"`
	Findings []findingPart `json:"findings"`
}

type factPart struct {
	Name    string   `json:"name"`
	Value   number   `json:"value"` // SI
	Unit    string   `json:"unit"`
	Note    string   `json:"note,omitempty"`
	Missing []string `json:"missing,omitempty"`
}

// WriteDeskJSON writes the same as a document for scripts.
func WriteDeskJSON(w io.Writer, sheet *site.Sheet, findings []diagnostics.Finding) error {
	doc := deskDocument{Schema: DeskSchema, Facts: []factPart{}, Findings: []findingPart{}}
	for _, f := range site.Facts(sheet) {
		part := factPart{Name: f.Name, Value: number(f.Value.V), Unit: quantity.SIUnit(f.Value.Dim).Symbol, Note: f.Note, Missing: f.Missing}
		if len(f.Missing) > 0 {
			part.Value = number(math.NaN())
		}
		doc.Facts = append(doc.Facts, part)
	}
	for i := range findings {
		doc.Findings = append(doc.Findings, findingOf(&findings[i]))
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	return enc.Encode(doc)
}
