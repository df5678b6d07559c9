package site

import (
	"sort"
	"strings"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/sheet"
)

// Parse reads a site sheet. The error, of type sheet.Problems, holds every mistake with its place:
// unknown keys, wrong units, impossible values. What can really be so on site, such as marks taught
// the wrong way round, is no mistake of the sheet; the desk checks find it.
func Parse(name string, data []byte) (*Sheet, error) {
	doc, err := sheet.Parse(name, data)
	if err != nil {
		return nil, err
	}
	s := Empty()
	s.File = name
	m := doc.Map()
	if doc.Err() == nil || len(m.Keys()) > 0 {
		readTop(s, m)
	}
	if err := doc.Err(); err != nil {
		return nil, err
	}
	s.preset()
	return s, nil
}

// Empty is a sheet of which nothing is known.
func Empty() *Sheet {
	s := &Sheet{}
	for _, w := range words {
		*w.get(s) = unknown
	}
	for _, f := range fields {
		f.get(s).Dim = f.dim
	}
	s.Marks.LowSet.Dim, s.Marks.FullSet.Dim = quantity.Ratio, quantity.Ratio
	return s
}

func readTop(s *Sheet, m *sheet.Map) {
	m.Need("sheet", "tank", "sensor")
	if version := m.Text("sheet"); version != "" && version != Schema {
		m.Problem("sheet", "%q is no sheet that this program reads: it must be %s", version, Schema)
	}
	s.Site, s.Asset, s.Dialect = m.Text("site"), m.Text("asset"), m.Text("dialect")
	readWords(s, m, "")
	for _, name := range sections {
		section := m.Map(name)
		readWords(s, section, name)
		readFields(s, section, name)
		if name == "tank" {
			readTank(s, section, m.Has("tank"))
		}
		if name == "sensor" && m.Has("sensor") && !section.Has("face_height") {
			m.Doc().Add(section.Place, `"face_height" is missing here: measure from the transducer's face down to the tank's bottom, like 1.75 m`)
		}
		section.Done()
	}
	readLimits(s, m)
	m.Done()
	checkTogether(s, m)
}

// inSection returns the key of a path of that section.
func inSection(path, section string) (key string, ok bool) {
	if section == "" {
		return path, !strings.Contains(path, ".")
	}
	return strings.CutPrefix(path, section+".")
}

func readWords(s *Sheet, m *sheet.Map, section string) {
	for _, w := range words {
		if key, ok := inSection(w.path, section); ok {
			if got := m.Word(key, append(append([]string(nil), w.allowed...), unknown)...); got != "" {
				*w.get(s) = got
			}
		}
	}
}

func readFields(s *Sheet, m *sheet.Map, section string) {
	for _, f := range fields {
		if key, ok := inSection(f.path, section); ok {
			collect(f.get(s), m.Get(key), f.read)
		}
	}
	for _, mark := range marks {
		if key, ok := inSection(mark.path, section); ok {
			collect(&mark.get(s).Fact, m.Get(key), readMark)
		}
	}
}

// readLimits reads a firm's own limits; which checks and words there are is known to the checks.
func readLimits(s *Sheet, m *sheet.Map) {
	s.Limits = map[string]Fact{}
	for _, e := range m.Map("limits").Entries() {
		check, grade, ok := strings.Cut(e.Key, ".")
		if !ok || check == "" || grade == "" {
			m.Doc().Add(e.Place, "a limit is named by its check and grade, like echo-dropouts.some, not %q", e.Key)
			continue
		}
		q, err := quantity.ParseAny(e.Value.Text(), "")
		if err != nil {
			e.Value.Problem("%v; a limit is a number with its unit, like 3 %%", err)
			continue
		}
		s.Limits[e.Key] = Fact{Quantity: q, Origin: Given, Place: e.Value.Place, Stated: q.U > 0}
	}
}

// checkTogether refuses values that are possible alone but not beside each other.
func checkTogether(s *Sheet, m *sheet.Map) {
	t := s.Tank
	if t.Height.Known() && t.Overflow.Known() && t.Overflow.V > t.Height.V*1.02 {
		m.Doc().Add(t.Overflow.Place, "the overflow is above the top of the tank, which is %s high; both count from the tank's bottom", t.Height.text())
	}
	if t.Height.Known() && t.Outlet.Known() && t.Outlet.V > t.Height.V*1.02 {
		m.Doc().Add(t.Outlet.Place, "the outlet is above the top of the tank, which is %s high; both count from the tank's bottom", t.Height.text())
	}
}

// text is the bare value for messages.
func (f Fact) text() string { return quantity.Format(f.Quantity, quantity.Metric) }

// Paths lists the quantities of the sheet, for messages and for the linter of the knowledge.
func Paths() []string {
	paths := make([]string, 0, len(byPath))
	for p := range byPath {
		paths = append(paths, p)
	}
	sort.Strings(paths)
	return paths
}
