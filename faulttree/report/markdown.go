package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"
)

// Markdown writes the report as Markdown (CommonMark with pipe tables).
func (r Report) Markdown(w io.Writer) error {
	return markdownBlocks(w, r.blocks())
}

func markdownBlocks(w io.Writer, blocks []block) error {
	b := bufio.NewWriter(w)
	for _, k := range blocks {
		markdownBlock(b, k)
	}
	return b.Flush()
}

func markdownBlock(w *bufio.Writer, k block) {
	switch k := k.(type) {
	case heading:
		fmt.Fprintf(w, "%s %s\n\n", strings.Repeat("#", k.level), mdText(k.text))
	case paragraph:
		if k.strong {
			fmt.Fprintf(w, "**%s**\n\n", mdText(k.text))
			return
		}
		fmt.Fprintf(w, "%s\n\n", mdText(k.text))
	case quote:
		fmt.Fprintf(w, "> %s\n\n", mdText(k.text))
	case list:
		for _, i := range k.items {
			fmt.Fprintf(w, "- %s\n", mdText(i))
		}
		w.WriteString("\n")
	case facts:
		for _, f := range k.rows {
			fmt.Fprintf(w, "- %s: %s\n", mdText(f[0]), mdText(f[1]))
		}
		w.WriteString("\n")
	case table:
		mdTable(w, k)
	case lines:
		for _, l := range k.labels {
			fmt.Fprintf(w, "%s, date, signature: ______________________________\n\n", mdText(l))
		}
	case pageBreak:
		w.WriteString("---\n\n")
	}
}

func mdTable(w *bufio.Writer, t table) {
	fmt.Fprintf(w, "| %s |\n|%s\n", strings.Join(mapped(t.head), " | "), strings.Repeat(" --- |", len(t.head)))
	for _, row := range t.rows {
		fmt.Fprintf(w, "| %s |\n", strings.Join(mapped(row), " | "))
	}
	w.WriteString("\n")
}

func mapped(cells []string) []string {
	out := make([]string, len(cells))
	for i, c := range cells {
		out[i] = mdInline(c)
	}
	return out
}

// mdEscapes are the characters that begin markup inside a line; ':' only after a web scheme, where
// some readers make a link of bare text.
var mdEscapes = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", `&lt;`, ">", `&gt;`,
	"&", `&amp;`, "|", `\|`, "#", `\#`, "~", `\~`, "$", `\$`, "://", `\://`, "www.", `www\.`)

// mdInline makes a text literal inside a line or a table's cell.
func mdInline(s string) string { return mdEscapes.Replace(visible(s)) }

// mdText makes a text literal, also where it begins a line.
func mdText(s string) string {
	s = mdInline(s)
	if s == "" {
		return s
	}
	if strings.ContainsRune("-+=", rune(s[0])) {
		return `\` + s
	}
	digits := len(s) - len(strings.TrimLeft(s, "0123456789"))
	if digits > 0 && digits < len(s) && strings.ContainsAny(s[digits:digits+1], ".)") && strings.HasPrefix(s[digits+1:]+" ", " ") {
		return s[:digits] + `\` + s[digits:]
	}
	return s
}
