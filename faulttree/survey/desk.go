package survey

import (
	"io"
	"strings"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/livelevel/site"
)

// WriteDesk writes what a site sheet alone tells: the facts derived from it, then the desk checks
// with the worst first.
func (p Page) WriteDesk(w io.Writer, sheet *site.Sheet, findings []diagnostics.Finding) error {
	var b strings.Builder
	paragraph(&b, "", "site sheet "+visible(sheet.File)+": "+visible(strings.TrimSpace(sheet.Site+" / "+sheet.Asset)))
	b.WriteString("\n")
	for _, f := range site.Facts(sheet) {
		text := f.Name + ": " + f.Text(p.Units)
		if f.Note != "" {
			text += " (" + f.Note + ")"
		}
		paragraph(&b, "  ", text)
	}
	b.WriteString("\n")
	p.findings(&b, findings)
	_, err := io.WriteString(w, b.String())
	return err
}
