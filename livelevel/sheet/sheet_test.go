package sheet

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func parse(t *testing.T, text string) *Doc {
	t.Helper()
	d, err := Parse("f.yaml", []byte(text))
	require.NoError(t, err)
	return d
}

func TestScalarsStayAsWritten(t *testing.T) {
	for in, want := range map[string]string{
		"012": "012", "1_000": "1_000", "0x10": "0x10", "yes": "yes", "true": "true", "1.0": "1.0", "1e3": "1e3",
		"1.75 m ± 5 mm": "1.75 m ± 5 mm", `"q\n"`: "q\n", "'it''s'": "it's", "10:30": "10:30", ".5": ".5",
		"2026-05-04": "2026-05-04", "a # comment": "a", "a#b": "a#b", "null": "", "~": "", "": "",
	} {
		d := parse(t, "k: "+in+"\n")
		assert.Equal(t, want, d.Map().Text("k"), "of %q", in)
		assert.NoError(t, d.Err())
	}
}

func TestReaders(t *testing.T) {
	d := parse(t, `
# a comment
flags: {a: yes, b: no, c: true}
for: 60s
window: 10 m
n: 3
x: -1.5e-3
list: [a, 'b, c', 012]
steps:
- {id: one}
- id: two
text: |
  two
  lines
empty:
`)
	m := d.Map()
	f := m.Map("flags")
	assert.True(t, f.Bool("a", false))
	assert.False(t, f.Bool("b", true))
	assert.True(t, f.Bool("c", false))
	assert.True(t, f.Bool("absent", true))
	f.Done()
	assert.Equal(t, time.Minute, m.Duration("for"))
	assert.Equal(t, 10*time.Minute, m.Duration("window"))
	assert.Equal(t, 3, m.Int("n", 0))
	assert.Equal(t, -1.5e-3, m.Float("x", 0))
	assert.Equal(t, []string{"a", "b, c", "012"}, m.Texts("list"))
	assert.Equal(t, "two", m.Maps("steps")[1].Text("id"))
	assert.Equal(t, "two\nlines\n", m.Text("text"))
	assert.Equal(t, 7, m.Int("empty", 7))
	m.Done()
	assert.NoError(t, d.Err())
	assert.Equal(t, Place{"f.yaml", 6, 1}, m.PlaceOf("n"))
}

// Every kind of mistake in one file: all of them are reported, in the order of the file.
func TestAllMistakesAtOnce(t *testing.T) {
	d := parse(t, `limitt: 3
n: three
x: [1]
w: auot
b: perhaps
list: no
t: {a: 1}
for: soon
x: 4
m: text
`)
	m := d.Map()
	m.Need("title", "limit")
	m.Text("limit")
	m.Int("n", 0)
	m.Float("x", 0)
	m.Word("w", "auto", "manual")
	m.Bool("b", false)
	m.Texts("list")
	m.Text("t")
	m.Duration("for")
	m.Map("m")
	m.Done()
	var ps Problems
	require.ErrorAs(t, d.Err(), &ps)
	var got []string
	for _, p := range ps {
		got = append(got, p.Place.String()+" "+p.What)
	}
	assert.Equal(t, []string{
		`f.yaml:1:1 "title" is missing here`,
		`f.yaml:1:1 "limit" is missing here`,
		`f.yaml:1:1 unknown key "limitt" (did you mean limit?)`,
		`f.yaml:2:4 a whole number is needed here, not "three"`,
		`f.yaml:3:4 a number is needed here, not a list`,
		`f.yaml:4:4 one of auto, manual (did you mean auto?) is needed here, not "auot"`,
		`f.yaml:5:4 yes or no is needed here, not "perhaps"`,
		`f.yaml:6:7 a list [..] is needed here, not "no"`,
		`f.yaml:7:4 a text is needed here, not a map of keys`,
		`f.yaml:8:6 a time such as 60s, 5m or 24h is needed here, not "soon"`,
		`f.yaml:9:1 key "x" is given twice: it already stands in line 3; keep one of them`,
		`f.yaml:10:4 a map of keys is needed here, not "text"`,
	}, got)
}

func TestNoYAML(t *testing.T) {
	for in, want := range map[string]string{
		"a: [1, 2\nb: 3\n":  "f.yaml:2:1: this is no YAML",
		"a: \"x\n":          "f.yaml:1:4: this is no YAML",
		"a:\n\tb: 1\n":      "f.yaml:2:1: this is no YAML",
		"a: b: c\n":         "f.yaml:1:4: this is no YAML",
		"a: 1\n--- \nb: 2":  "",
		"x: &a 1\ny: *a\n":  "an anchor (&) is not used",
		"x: !!str 1\n":      "a tag (!) is not used",
		"a: \x1b[31m\n":     "f.yaml:1:4: control character U+001B",
		"a: \xff\n":         "f.yaml:1:4: byte 0xff is no UTF-8",
		"<<: {a: 1}\n":      "a merge key (<<) is not used",
		"a: {b: \x00}\n":    "control character U+0000",
		"%YAML 1.2\n---\na": "",
	} {
		_, err := Parse("f.yaml", []byte(in))
		if want == "" {
			assert.NoError(t, err, "of %q", in)
			continue
		}
		require.Error(t, err, "of %q", in)
		assert.Contains(t, err.Error(), want, "of %q", in)
		assert.NotContains(t, err.Error(), "\x1b")
	}
}

func TestSecondDocumentAndEmptyFile(t *testing.T) {
	d := parse(t, "a: 1\n---\nb: 2\n")
	assert.ErrorContains(t, d.Err(), "f.yaml:3:1: a second document begins here")
	for _, text := range []string{"", "# only a comment\n", "---\n"} {
		d = parse(t, text)
		d.Map().Done()
		assert.ErrorContains(t, d.Err(), "the file is empty")
	}
	d = parse(t, "- a\n")
	d.Map()
	assert.ErrorContains(t, d.Err(), "a map of keys is needed here, not a list")
}

// Hostile files end in a problem, quickly.
func TestBounds(t *testing.T) {
	for name, text := range map[string]string{
		"bytes":   strings.Repeat("a", MaxBytes+1),
		"tokens":  strings.Repeat("a: 1\n", 20_000),
		"braces":  strings.Repeat("[", 4000),
		"line":    "a: " + strings.Repeat("<", 50_000),
		"dashes":  strings.Repeat("- ", 2000),
		"asks":    strings.Repeat("? ", 2000),
		"indent":  stairs(300),
		"aliases": "a: &a [x]\nb: &b [*a, *a]\nc: [*b, *b]\n",
	} {
		d, err := Parse("f.yaml", []byte(text))
		if err == nil {
			err = d.Err()
		}
		require.Error(t, err, name)
		assert.LessOrEqual(t, len(err.Error()), 1000, name)
	}
}

func stairs(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.String()
}

func TestLineEndsAndByteOrderMarkKeepPlaces(t *testing.T) {
	d := parse(t, "\ufeffa: 1\r\nµ: {b: x}\r\n")
	m := d.Map()
	m.Text("a")
	m.Map("µ").Float("b", 0)
	assert.ErrorContains(t, d.Err(), "f.yaml:2:8: a number is needed here")
}

func TestExcerptOfALongLineKeepsThePlaceInSight(t *testing.T) {
	d := parse(t, "a: ["+strings.Repeat("1, ", 100)+"x]\n")
	d.Map().Floats("a")
	var ps Problems
	require.ErrorAs(t, d.Err(), &ps)
	lines := strings.Split(ps[0].Excerpt, "\n")
	require.Len(t, lines, 2)
	assert.Equal(t, byte('x'), lines[0][strings.Index(lines[1], "^")])
	assert.LessOrEqual(t, len(lines[0]), 80)
}

func TestNearest(t *testing.T) {
	known := []string{"height", "diameter", "overflow", "length", "face_height"}
	for in, want := range map[string]string{"heigth": "height", "diametre": "diameter", "hight": "height", "lenght": "length",
		"overflow_": "overflow", "colour": "", "": "", "faceheight": "face_height"} {
		assert.Equal(t, want, Nearest(in, known), in)
	}
}

func TestAmend(t *testing.T) {
	const text = "# mine\na: 1   # one\ns:\n  b: 'x y'  # two\nf: {c: 2}\n"
	for _, c := range []struct{ section, key, value, from, to string }{
		{"", "a", "2", "a: 1 ", "a: 2 "},
		{"", "z", "yes", "f: {c: 2}\n", "f: {c: 2}\nz: \"yes\"\n"},
		{"s", "b", "z", "'x y'", "z"},
		{"s", "d", "3", "s:\n", "s:\n  d: 3\n"},
		{"f", "c", "a, b", "c: 2", `c: "a, b"`},
		{"f", "d", "3", "{c", "{d: 3, c"},
		{"new", "k", "v", "f: {c: 2}\n", "f: {c: 2}\nnew:\n  k: v\n"},
	} {
		out, err := parse(t, text).Amend(c.section, c.key, c.value)
		require.NoError(t, err)
		assert.Equal(t, strings.Replace(text, c.from, c.to, 1), out)
	}
	_, err := parse(t, text).Amend("a", "k", "v")
	assert.ErrorContains(t, err, "a is no map of keys")
	_, err = parse(t, "a: |\n  x\n").Amend("", "a", "v")
	assert.ErrorContains(t, err, "change it with an editor")
	_, err = parse(t, "- a\n").Amend("", "a", "v")
	assert.Error(t, err)
}
