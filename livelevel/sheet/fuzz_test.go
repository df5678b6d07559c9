package sheet

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// FuzzParse: no input panics, and every place lies in the file.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"a: 1\nb: {c: [1, 'x', \"y\\n\"], d: }\n", "- a\n- b: c\n  d: |\n    e\n", "? a\n: b\n", "a: &x 1\nb: *x\n",
		"[[[[", "{a: {b: {c", "a: 'x", "%YAML 1.2\n---\na", "a: >-\n x\n\n y\n", "\t", ": :", "- - - -", "a:\r\n b:\r"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := Parse("f", data)
		if err != nil {
			assert.NotEmpty(t, err.Error())
			return
		}
		walk(t, d.Root)
		d.Map().Done()
		if err := d.Err(); err != nil {
			assert.NotEmpty(t, err.Error())
		}
	})
}

func walk(t *testing.T, n *Node) {
	assert.GreaterOrEqual(t, n.Place.Line, 1)
	assert.GreaterOrEqual(t, n.Place.Column, 1)
	for _, e := range n.entries {
		walk(t, e.Value)
	}
	for _, i := range n.items {
		walk(t, i)
	}
}

// FuzzQuote: what Quote writes is read back as it was, alone, in a list and in a map.
func FuzzQuote(f *testing.F) {
	for _, s := range []string{"", "yes", "012", "a: b", "# x", "it's", `q"\`, "two\nlines", " lead", "-", "- a", "1.75 m ± 5 mm (measured)",
		"{a}", "a, b", "\u00a0", "\x7f", "null", "%", "@", "---", "🜁", "\u2028", "'", "?", "0.92*x", "<<", "<< ", "!a", "&a", "*a"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if !utf8.ValidString(s) || len(s) > 300 { // longer ones may not fit on a line
			return
		}
		q := Quote(s)
		d, err := Parse("f", []byte("a: "+q+"\nb: ["+q+", x]\nc: {k: "+q+", l: x}\n"))
		require.NoError(t, err, "quoted as %s", q)
		m := d.Map()
		assert.Equal(t, s, m.Text("a"))
		assert.Equal(t, []string{s, "x"}, m.Texts("b"))
		assert.Equal(t, s, m.Map("c").Text("k"))
		assert.NoError(t, d.Err())
	})
}
