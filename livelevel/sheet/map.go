package sheet

import (
	"strings"
	"time"
)

// Map is a node read by its keys; it remembers which were asked for, so that Done can report the
// others. The readers of an absent key return the zero value without a problem: say Need for those
// that must be there.
type Map struct {
	Place   Place
	doc     *Doc
	entries []Entry
	used    []bool
	asked   []string
}

// Map is the document as a map of keys.
func (d *Doc) Map() *Map {
	if d.Root.Kind == Empty {
		d.Add(d.Root.Place, "the file is empty")
		return &Map{doc: d, Place: d.Root.Place}
	}
	return d.Root.Map()
}

// Doc is the document that the map belongs to.
func (m *Map) Doc() *Doc { return m.doc }

func (m *Map) find(key string) int {
	for i := range m.entries {
		if m.entries[i].Key == key {
			return i
		}
	}
	return -1
}

// Get returns the value of a key, nil when it is absent, and marks the key as known.
func (m *Map) Get(key string) *Node {
	m.asked = append(m.asked, key)
	i := m.find(key)
	if i < 0 {
		return nil
	}
	m.used[i] = true
	return m.entries[i].Value
}

// Has tells whether the key is there.
func (m *Map) Has(key string) bool { return m.find(key) >= 0 }

// Keys returns the keys in file order, without marking them.
func (m *Map) Keys() []string {
	keys := make([]string, len(m.entries))
	for i, e := range m.entries {
		keys[i] = e.Key
	}
	return keys
}

// Entries returns everything in file order and marks it all: for maps whose keys are names.
func (m *Map) Entries() []Entry {
	for i := range m.used {
		m.used[i] = true
	}
	return m.entries
}

// PlaceOf is where a key stands; the map's own place when it is absent.
func (m *Map) PlaceOf(key string) Place {
	if i := m.find(key); i >= 0 {
		return m.entries[i].Place
	}
	return m.Place
}

// Problem collects a mistake about a key: at its value, at the key when that is empty, or at the
// map when the key is absent.
func (m *Map) Problem(key, format string, args ...any) {
	p := m.Place
	if i := m.find(key); i >= 0 {
		p = m.entries[i].Value.Place
	}
	m.doc.Add(p, format, args...)
}

// Need reports those of the keys that are absent or empty.
func (m *Map) Need(keys ...string) {
	for _, k := range keys {
		i := m.find(k)
		switch {
		case i < 0:
			m.doc.Add(m.Place, "%q is missing here", k)
		case m.entries[i].Value.Kind == Empty:
			m.doc.Add(m.entries[i].Place, "%q has no value", k)
		}
	}
}

// Done reports the keys that nobody asked for, each with the nearest known one.
func (m *Map) Done() {
	for i, e := range m.entries {
		if m.used[i] {
			continue
		}
		hint := "known here: " + strings.Join(m.asked, ", ")
		if near := Nearest(e.Key, m.asked); near != "" {
			hint = "did you mean " + near + "?"
		}
		m.doc.Add(e.Place, "unknown key %q (%s)", e.Key, hint)
	}
}

// get is Get that takes an empty value for an absent one.
func (m *Map) get(key string) *Node {
	if n := m.Get(key); n != nil && n.Kind != Empty {
		return n
	}
	return nil
}

func read[T any](m *Map, key string, as func(*Node) T) (out T) {
	if n := m.get(key); n != nil {
		return as(n)
	}
	return out
}

// Text is Node.Text of a key.
func (m *Map) Text(key string) string { return read(m, key, (*Node).Text) }

// Texts is Node.Texts of a key.
func (m *Map) Texts(key string) []string { return read(m, key, (*Node).Texts) }

// Word is Node.Word of a key.
func (m *Map) Word(key string, allowed ...string) string {
	return read(m, key, func(n *Node) string { return n.Word(allowed...) })
}

// Float is Node.Float of a key, def when it is absent.
func (m *Map) Float(key string, def float64) float64 {
	if n := m.get(key); n != nil {
		return n.Float()
	}
	return def
}

// Floats is Node.Floats of a key.
func (m *Map) Floats(key string) []float64 { return read(m, key, (*Node).Floats) }

// Int is Node.Int of a key, def when it is absent.
func (m *Map) Int(key string, def int) int {
	if n := m.get(key); n != nil {
		return n.Int()
	}
	return def
}

// Bool is Node.Bool of a key, def when it is absent.
func (m *Map) Bool(key string, def bool) bool {
	if n := m.get(key); n != nil {
		return n.Bool()
	}
	return def
}

// Duration is Node.Duration of a key.
func (m *Map) Duration(key string) time.Duration { return read(m, key, (*Node).Duration) }

// Items is Node.Items of a key.
func (m *Map) Items(key string) []*Node { return read(m, key, (*Node).Items) }

// Maps is Node.Maps of a key.
func (m *Map) Maps(key string) []*Map { return read(m, key, (*Node).Maps) }

// Map is Node.Map of a key; an empty map when it is absent.
func (m *Map) Map(key string) *Map {
	if n := m.get(key); n != nil {
		return n.Map()
	}
	return &Map{doc: m.doc, Place: m.PlaceOf(key)}
}
