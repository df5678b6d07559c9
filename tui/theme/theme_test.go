package theme

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func env(pairs ...string) func(string) string {
	return func(name string) string {
		for i := 0; i < len(pairs); i += 2 {
			if pairs[i] == name {
				return pairs[i+1]
			}
		}
		return ""
	}
}

func TestDetect(t *testing.T) {
	assert.Equal(t, True, Detect(env("TERM", "xterm-256color", "COLORTERM", "truecolor")))
	assert.Equal(t, Sixteen, Detect(env("TERM", "xterm-256color")))
	assert.Equal(t, Sixteen, Detect(env("TERM", "linux")))
	assert.Equal(t, None, Detect(env("TERM", "xterm", "COLORTERM", "truecolor", "NO_COLOR", "1")))
	assert.Equal(t, None, Detect(env("TERM", "dumb")))
	assert.Equal(t, None, Detect(env("TERM", "vt100")))
	assert.Equal(t, None, Detect(env()))
}

// POSIX: LC_ALL goes before LC_CTYPE goes before LANG. An empty locale is common after ssh and counts as UTF-8.
func TestSeven(t *testing.T) {
	assert.False(t, Seven(env()))
	assert.False(t, Seven(env("LANG", "de_DE.UTF-8")))
	assert.False(t, Seven(env("LANG", "C", "LC_ALL", "C.utf8")))
	assert.True(t, Seven(env("LANG", "C")))
	assert.True(t, Seven(env("LANG", "en_US.ISO-8859-1")))
	assert.True(t, Seven(env("LANG", "en_US.UTF-8", "LC_CTYPE", "POSIX")))
}

func TestNoColourSendsNoAttributeAtAll(t *testing.T) {
	for ink := range inkCount {
		assert.Equal(t, "text", Theme{}.Paint(ink, "text"))
		assert.NotContains(t, Theme{Profile: True}.Paint(ink, ""), "\x1b")
	}
	assert.Contains(t, Theme{Profile: True}.Paint(Bad, "!"), "\x1b[")
	assert.True(t, strings.HasSuffix(Theme{Profile: Sixteen}.Paint(Bad, "!"), "\x1b[0m"))
}

// WCAG 2.1, 1.4.3 and its definition of relative luminance (formula from memory): text in colour
// keeps a contrast of at least 3 to 1 (large or incidental text) against black and white alike.
func TestColoursAreReadableOnDarkAndLight(t *testing.T) {
	for ink, sgr := range truecolour {
		i := strings.Index(sgr, "38;2;")
		if i < 0 {
			continue
		}
		var r, g, b float64
		_, err := fmt.Sscanf(sgr[i:], "38;2;%f;%f;%f", &r, &g, &b)
		require.NoError(t, err)
		l := 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b)
		assert.GreaterOrEqual(t, (l+0.05)/0.05, 3.0, "ink %d on black", ink)
		assert.GreaterOrEqual(t, 1.05/(l+0.05), 3.0, "ink %d on white", ink)
	}
}

func linear(c float64) float64 {
	c /= 255
	if c <= 0.03928 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

func TestPlainestKeepsTheWidth(t *testing.T) {
	assert.Equal(t, "|##~~ | > low", Plainest("│▒▒≈≈ │ → low"))
	assert.Equal(t, "????", Plainest("水位"))
	for r := range seven {
		assert.Equal(t, 1, Widths.StringWidth(string(r)), "%q", r)
	}
}
