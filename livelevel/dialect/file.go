package dialect

import (
	"fmt"
	"os"
	"strings"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/sheet"
)

// Schema is the first line of a dialect file.
const Schema = "tankhand/dialect/1"

// Parse reads a dialect file. All mistakes are reported at once, with line and column.
func Parse(name string, data []byte) (Dialect, error) {
	doc, err := sheet.Parse(name, data)
	if err != nil {
		return Dialect{}, err
	}
	m := doc.Map()
	m.Need("dialect", "kind", "fields")
	m.Word("dialect", Schema)
	d := Dialect{Name: m.Text("name"), Kind: m.Word("kind", Text, CSV, JSON, NMEA)}
	d.Encoding = m.Word("encoding", "utf-8", "latin-1")
	d.Decimal = m.Word("decimal", ".", ",")
	d.Separator = m.Text("separator")
	d.Header = m.Bool("header", d.Kind == CSV)
	if b := m.Map("block"); m.Has("block") {
		d.Block = Block{Lines: b.Int("lines", 0), EndsWith: b.Text("ends_with"), BeginsWith: b.Text("begins_with")}
		b.Done()
	}
	for _, f := range m.Maps("fields") {
		d.Fields = append(d.Fields, parseField(f))
	}
	d.Restart = m.Texts("restart")
	d.defaults(m)
	m.Done()
	return d, doc.Err()
}

// ParseFile is Parse of a file.
func ParseFile(path string) (Dialect, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return Dialect{}, fmt.Errorf("reading the dialect %s: %w", path, err)
	}
	return Parse(path, data)
}

func (d *Dialect) defaults(m *sheet.Map) {
	if d.Encoding == "" {
		d.Encoding = "utf-8"
	}
	if d.Decimal == "" {
		d.Decimal = "."
	}
	if d.Separator == "tab" || d.Separator == `\t` {
		d.Separator = "\t"
	}
	if d.Kind == CSV && d.Separator == "" {
		d.Separator = ","
	}
	if d.Kind == CSV && len(d.Separator) != 1 {
		m.Problem("separator", "%q is not one character", d.Separator)
	}
	if len(d.Fields) == 0 && m.Has("fields") {
		m.Problem("fields", "no field: say at least where the distance or the level stands")
	}
	if len(d.Fields) > maxSlots {
		m.Problem("fields", "more than %d fields", maxSlots)
	}
}

func parseField(m *sheet.Map) Field {
	m.Need("role", "at")
	f := Field{Role: m.Text("role"), At: m.Text("at"), Unit: m.Text("unit"), Lost: m.Texts("lost"), On: m.Texts("on"), Off: m.Texts("off")}
	f.Optional = m.Bool("optional", false)
	f.Column = m.Int("column", 0)
	if _, ok := livelevel.ParseRole(f.Role); !ok && f.Role != "" {
		hint := ""
		if near := sheet.Nearest(f.Role, roleWords()); near != "" {
			hint = ", did you mean " + near + "?"
		}
		m.Problem("role", "%q is no role%s", f.Role, hint)
	} else if _, err := newPlan(f); err != nil {
		m.Problem("at", "%v", err)
	}
	m.Done()
	return f
}

func roleWords() []string {
	var w []string
	for r := range livelevel.RoleCount {
		w = append(w, livelevel.Role(r).String())
	}
	return w
}

// Format writes a dialect as a file that a person can read and mend and that Parse gives back.
func Format(d Dialect) string {
	var b strings.Builder
	q := sheet.Quote
	fmt.Fprintf(&b, "dialect: %s\nname: %s\nkind: %s\n", Schema, q(d.Name), q(d.Kind))
	if d.Encoding != "" {
		fmt.Fprintf(&b, "encoding: %s\n", d.Encoding)
	}
	if d.Decimal != "" {
		fmt.Fprintf(&b, "decimal: %q\n", d.Decimal)
	}
	if d.Kind == CSV {
		sep := d.Separator
		if sep == "\t" {
			sep = "tab"
		}
		fmt.Fprintf(&b, "separator: %s\nheader: %s\n", q(sep), yes(d.Header))
	}
	if !d.Block.single() {
		var parts []string
		if d.Block.Lines > 1 {
			parts = append(parts, fmt.Sprintf("lines: %d", d.Block.Lines))
		}
		if d.Block.EndsWith != "" {
			parts = append(parts, "ends_with: "+q(d.Block.EndsWith))
		}
		if d.Block.BeginsWith != "" {
			parts = append(parts, "begins_with: "+q(d.Block.BeginsWith))
		}
		fmt.Fprintf(&b, "block: {%s}\n", strings.Join(parts, ", "))
	}
	b.WriteString("fields:\n")
	for _, f := range d.Fields {
		b.WriteString("  - " + formatField(f) + "\n")
	}
	if len(d.Restart) > 0 {
		fmt.Fprintf(&b, "restart: %s\n", list(d.Restart))
	}
	return b.String()
}

func formatField(f Field) string {
	s := "{role: " + f.Role + ", at: " + sheet.Quote(f.At)
	if f.Unit != "" {
		s += ", unit: " + sheet.Quote(f.Unit)
	}
	for _, l := range []struct {
		key  string
		list []string
	}{{"lost", f.Lost}, {"on", f.On}, {"off", f.Off}} {
		if len(l.list) > 0 {
			s += ", " + l.key + ": " + list(l.list)
		}
	}
	if f.Column > 0 {
		s += fmt.Sprintf(", column: %d", f.Column)
	}
	if f.Optional {
		s += ", optional: yes"
	}
	return s + "}"
}

func list(l []string) string {
	q := make([]string, len(l))
	for i, s := range l {
		q[i] = sheet.Quote(s)
	}
	return "[" + strings.Join(q, ", ") + "]"
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}
