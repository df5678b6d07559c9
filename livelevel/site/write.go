package site

import (
	"fmt"
	"io"
	"sort"
	"strings"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/sheet"
)

// Write writes the sheet as YAML that Parse reads back to the same facts. What is unknown or only
// assumed is left out: it is filled in again on reading.
func (s *Sheet) Write(w io.Writer) error {
	if _, err := io.WriteString(w, s.String()); err != nil {
		return fmt.Errorf("writing the site sheet of %q: %w", s.Asset, err)
	}
	return nil
}

// String is what Write writes.
func (s *Sheet) String() string {
	var b strings.Builder
	line := func(key, value string) {
		if value != "" && value != unknown {
			fmt.Fprintf(&b, "%s: %s\n", key, sheet.Quote(value))
		}
	}
	line("sheet", Schema)
	line("site", s.Site)
	line("asset", s.Asset)
	for _, section := range append([]string{""}, sections...) {
		lines := s.sectionLines(section)
		if section != "" && len(lines) > 0 {
			fmt.Fprintf(&b, "%s:\n", section)
		}
		for _, l := range lines {
			b.WriteString(l + "\n")
		}
	}
	line("dialect", s.Dialect)
	s.writeLimits(&b)
	return b.String()
}

// sectionLines are the known facts of a section, one line each.
func (s *Sheet) sectionLines(section string) []string {
	var lines []string
	add := func(key, value string) {
		indent := "  "
		if section == "" {
			indent = ""
		}
		lines = append(lines, indent+key+": "+value)
	}
	if section == "tank" {
		if s.Tank.Kind == "" {
			add("shape", unknown)
		} else {
			add("shape", s.Tank.Kind)
		}
	}
	for _, w := range words {
		if key, ok := inSection(w.path, section); ok && *w.get(s) != unknown && *w.get(s) != "" {
			add(key, sheet.Quote(*w.get(s)))
		}
	}
	for _, path := range s.written(section) {
		key, _ := inSection(path, section)
		add(key, byPath[path](s).String())
	}
	if section == "tank" && len(s.Tank.Rows) > 0 {
		add("rows", s.rows())
	}
	return lines
}

// written are the paths of a section that a sheet must hold: the known ones, those that the shape
// cannot do without, and those that were called unknown and must not be assumed again.
func (s *Sheet) written(section string) []string {
	var paths []string
	keep := func(path string, f *Fact) {
		if _, ok := inSection(path, section); ok && (f.Origin > Assumed || f.Stated || f.Place.Line > 0 || s.needs(path)) && !s.implied(path) {
			paths = append(paths, path)
		}
	}
	for _, f := range fields {
		keep(f.path, f.get(s))
	}
	for _, m := range marks {
		keep(m.path, &m.get(s).Fact)
	}
	return paths
}

// needs tells whether the shape cannot be read without that size.
func (s *Sheet) needs(path string) bool {
	for _, key := range vessels[s.Tank.Kind].needs {
		if path == "tank."+key {
			return true
		}
	}
	return path == "sensor.face_height"
}

// implied tells whether the size follows from the others.
func (s *Sheet) implied(path string) bool {
	return path == "tank.height" && s.Tank.heightFollows()
}

func (s *Sheet) rows() string {
	rows := make([]string, len(s.Tank.Rows))
	for i, r := range s.Tank.Rows {
		rows[i] = fmt.Sprintf("[%s, %s]", quantity.Of(r.Level, quantity.Length), quantity.Of(r.Volume, quantity.Volume))
	}
	return "[" + strings.Join(rows, ", ") + "]"
}

func (s *Sheet) writeLimits(b *strings.Builder) {
	if len(s.Limits) == 0 {
		return
	}
	keys := make([]string, 0, len(s.Limits))
	for k := range s.Limits {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	b.WriteString("limits:\n")
	for _, k := range keys {
		fmt.Fprintf(b, "  %s: %s\n", sheet.Quote(k), s.Limits[k])
	}
}
