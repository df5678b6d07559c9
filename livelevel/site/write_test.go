package site

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/sheet"
)

// facts is everything a sheet says, without the places.
func facts(s *Sheet) map[string]any {
	out := map[string]any{"site": s.Site, "asset": s.Asset, "dialect": s.Dialect, "shape": s.Tank.Kind, "rows": s.Tank.Rows}
	for path, get := range byPath {
		f := *get(s)
		out[path] = strings.Join([]string{f.String(), f.Origin.String()}, " ")
	}
	for _, w := range words {
		out[w.path] = *w.get(s)
	}
	for k, f := range s.Limits {
		out["limits."+k] = f.String()
	}
	return out
}

func TestWriteReadsBack(t *testing.T) {
	for _, text := range []string{
		quarryLane, Template, minimal(""), minimal("marks: {low_set: 1.20 m, full: unknown}\n"),
		strings.Replace(quarryLane, "range: 4.5 m", "range: unknown", 1),
		strings.Replace(quarryLane, "HT-2", `"# not: a [comment] \u001b[31m"`, 1),
		"sheet: tankhand/site/1\ntank: {shape: table, rows: [[0 m, 0 l], [4 in, 45 l], [1.5 m, 0.931 m3]]}\nsensor: {face_height: 69 in ± 1/4 in (measured)}\n",
		"sheet: tankhand/site/1\ntank: {shape: horizontal cylinder, diameter: 1 m, length: 2 m, heads: spherical cap, head_depth: 20 cm}\nsensor: {face_height: 2 m, air_temperature: -5 degC ± 3 K}\n",
	} {
		s := mustParse(t, text)
		written := s.String()
		back, err := Parse("again.yaml", []byte(written))
		require.NoError(t, err, written)
		assert.Equal(t, facts(s), facts(back), written)
		assert.Equal(t, written, back.String())
	}
}

// The template parses as it stands, and also with every line in force that it offers.
func TestTemplate(t *testing.T) {
	s := mustParse(t, Template)
	assert.Nil(t, s.Tank.Shape)
	assert.Equal(t, "vertical cylinder", s.Tank.Kind)
	full := strings.ReplaceAll(Template, "\n  # ", "\n  ")
	full = strings.ReplaceAll(full, "# dialect", "dialect")
	full = strings.ReplaceAll(full, "# limits", "limits")
	doc, err := sheet.Parse("full", []byte(full))
	require.NoError(t, err)
	offered := doc.Map()
	for path := range byPath {
		section, key, _ := strings.Cut(path, ".")
		assert.True(t, offered.Map(section).Has(key), "the template does not offer %s", path)
	}
	for _, w := range words {
		if section, key, ok := strings.Cut(w.path, "."); ok {
			assert.True(t, offered.Map(section).Has(key), "the template does not offer %s", w.path)
		}
	}
	_, err = Parse("full", []byte(full))
	var ps sheet.Problems
	require.ErrorAs(t, err, &ps, "a cylinder has neither heads nor rows")
	for _, p := range ps {
		assert.Contains(t, p.What, "vertical cylinder", "of the offered lines only those of other shapes may be refused")
	}
}

// FuzzParse: no sheet panics; one that parses is written and read back to the same facts.
func FuzzParse(f *testing.F) {
	for _, s := range []string{quarryLane, Template, minimal("marks: {low_set: 1.20 m}\n"), minimal("limits: {a.b: 3 %}\n")} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Parse("f", data)
		if err != nil {
			assert.NotEmpty(t, err.Error())
			return
		}
		back, err := Parse("f", []byte(s.String()))
		require.NoError(t, err, s.String())
		assert.Equal(t, s.String(), back.String())
	})
}
