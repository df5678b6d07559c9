package report

import (
	"fmt"
	"io"
	"strings"
)

// Formats lists the words of Write.
func Formats() []string { return []string{"html", "pdf", "markdown", "csv", "json"} }

// Write writes the report in a format by its word.
func (r Report) Write(w io.Writer, format string) error {
	switch format {
	case "html":
		return r.HTML(w)
	case "pdf":
		return r.PDF(w)
	case "markdown":
		return r.Markdown(w)
	case "csv":
		return r.CSV(w)
	case "json":
		return r.JSON(w)
	}
	return fmt.Errorf("writing the report of visit %s: no format is called %q (there are %s)", r.visit.ID, format, strings.Join(Formats(), ", "))
}
