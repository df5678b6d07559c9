package report

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/testdata/golden"
)

func markdown(t *testing.T, r Report) string {
	var b bytes.Buffer
	require.NoError(t, r.Markdown(&b))
	return b.String()
}

func TestMarkdownGolden(t *testing.T) {
	golden.Equal(t, "visit.md", markdown(t, sample(t, Metric)))
	golden.Equal(t, "visit-us.md", markdown(t, sample(t, US)))
}

func TestMarkdownSaysThatDataAreInvented(t *testing.T) {
	assert.Contains(t, markdown(t, sample(t, Metric)), InventedNotice)
	bodies := sampleBodies()
	bodies[1] = visit.OpenedBody{Source: "/dev/ttyUSB0"}
	assert.NotContains(t, markdown(t, New(folded(t, bodies), Options{})), "nvented")
}

// CommonMark 0.31: a backslash before ASCII punctuation makes it literal; pipe tables are split at
// bare pipes only.
func TestMarkdownTextIsLiteral(t *testing.T) {
	for in, want := range map[string]string{
		"a|b": `a\|b`, "<script>": "&lt;script&gt;", "*x*": `\*x\*`, "[a](http://x)": `\[a\](http\://x)`,
		"- item": `\- item`, "1. one": `1\. one`, "12) x": `12\) x`, "1.5 mm": "1.5 mm", "3.": `3\.`, "# h": `\# h`, "a\nb": "a b",
		"\x1b[31mred": `\\u001b\[31mred`, "a\u202eb": `a\\u202eb`, "\xff": `\\xff`, "": "", "2026-05-04": "2026-05-04",
	} {
		assert.Equal(t, want, mdText(in), "%q", in)
	}
}

func TestMarkdownOfAnEmptyVisit(t *testing.T) {
	out := markdown(t, New(folded(t, []visit.Body{visit.NoteBody{Text: "only a note"}}), Options{}))
	assert.Contains(t, out, "The visit is still open.")
	assert.Contains(t, out, "No findings were recorded.")
}
