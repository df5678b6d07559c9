package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
)

//go:embed page.html
var pageText string

var page = template.Must(template.New("page").Parse(pageText))

// htmlBlock is a block in the shape that the template takes: exactly one part is set.
type htmlBlock struct {
	H1, H2, Para, Strong, Quote string
	List                        []string
	Facts                       [][2]string
	Table                       *htmlTable
	Sign                        []string
	Chart                       template.HTML // made by svg, from numbers and escaped texts only
	Caption                     string
	Break                       bool
}

type htmlTable struct {
	Head []string
	Rows [][]string
	Wide int
}

// HTML writes the report as one page that needs nothing from outside and prints on A4 and Letter.
func (r Report) HTML(w io.Writer) error {
	size := "A4"
	if r.opt.Paper == Letter {
		size = "letter"
	}
	data := struct {
		Title, Size, Footer string
		Blocks              []htmlBlock
	}{Title: visible(r.Title()), Size: size, Footer: visible(r.footer())}
	for _, k := range r.blocks() {
		if b, ok := r.htmlOf(k); ok {
			data.Blocks = append(data.Blocks, b)
		}
	}
	var out bytes.Buffer
	if err := page.Execute(&out, data); err != nil {
		return fmt.Errorf("writing the report of visit %s as HTML: %w", r.visit.ID, err)
	}
	_, err := w.Write(out.Bytes())
	return err
}

func (r Report) footer() string {
	return fmt.Sprintf("%s, %s %s. Written by %s.", r.Title(), r.visit.Site, r.visit.Asset, r.opt.Program)
}

func (r Report) htmlOf(k block) (b htmlBlock, ok bool) {
	switch k := k.(type) {
	case heading:
		if k.level == 1 {
			return htmlBlock{H1: visible(k.text)}, true
		}
		return htmlBlock{H2: visible(k.text)}, true
	case paragraph:
		if k.strong {
			return htmlBlock{Strong: visible(k.text)}, true
		}
		return htmlBlock{Para: visible(k.text)}, true
	case quote:
		return htmlBlock{Quote: visible(k.text)}, true
	case list:
		return htmlBlock{List: allVisible(k.items)}, true
	case facts:
		for _, f := range k.rows {
			b.Facts = append(b.Facts, [2]string{visible(f[0]), visible(f[1])})
		}
		return b, true
	case table:
		t := &htmlTable{Head: allVisible(k.head), Wide: k.wide}
		for _, row := range k.rows {
			t.Rows = append(t.Rows, allVisible(row))
		}
		return htmlBlock{Table: t}, true
	case lines:
		return htmlBlock{Sign: allVisible(k.labels)}, true
	case figure:
		c, ok := r.newChart(720, 240, 48, 40)
		return htmlBlock{Chart: svg(c), Caption: k.caption}, ok
	case pageBreak:
		return htmlBlock{Break: true}, true
	}
	return b, false
}

func allVisible(in []string) []string {
	out := make([]string, len(in))
	for i, s := range in {
		out[i] = visible(s)
	}
	return out
}

// svg draws a chart. Relay, restarts and lost echoes differ by shape, not by colour alone.
func svg(c chart) template.HTML {
	var b strings.Builder
	text := func(x, y float64, anchor, s string) {
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="%s">%s</text>`, x, y, anchor, template.HTMLEscapeString(s))
	}
	fmt.Fprintf(&b, `<svg viewBox="0 0 %.0f %.0f" role="img" aria-label="Level over time">`, c.width, c.height)
	for _, p := range c.pump {
		fmt.Fprintf(&b, `<rect class="pump" x="%.1f" y="%.1f" width="%.1f" height="6"/>`, p[0], c.bottom+2, max(p[1]-p[0], 0.5))
	}
	for _, t := range c.ys {
		fmt.Fprintf(&b, `<path class="grid" d="M%.1f %.1fH%.1f"/>`, c.left, t.at, c.right)
		text(c.left-4, t.at+4, "end", t.text)
	}
	for _, t := range c.xs {
		text(t.at, c.bottom+22, "middle", t.text)
	}
	for _, s := range c.spread {
		fmt.Fprintf(&b, `<path class="spread" d="%sZ"/>`, svgPath(s))
	}
	for _, l := range c.lines {
		fmt.Fprintf(&b, `<path class="level" d="%s"/>`, svgPath(l))
	}
	for _, x := range c.restarts {
		fmt.Fprintf(&b, `<path class="restart" d="M%.1f %.1fV%.1fM%.1f %.1fl8 0l-4 7z"/>`, x, c.top, c.bottom, x-4, c.top)
	}
	for _, x := range c.dropouts {
		fmt.Fprintf(&b, `<path class="dropout" d="M%.1f %.1fl6 6m0 -6l-6 6"/>`, x-3, c.bottom-10)
	}
	text(c.left, c.height-4, "start", "water height in "+c.unit+"; bar below: pump relay on; line with triangle: restart; cross: lost echo")
	b.WriteString("</svg>")
	return template.HTML(b.String())
}

func svgPath(spots []spot) string {
	var b strings.Builder
	for i, s := range spots {
		fmt.Fprintf(&b, "%c%.1f %.1f", "ML"[min(i, 1)], s.x, s.y)
	}
	return b.String()
}
