package draw

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// FuzzCells: the short way and the library agree on every text.
func FuzzCells(f *testing.F) {
	for _, s := range []string{"", "dist=43.2", "│▒≈─…", "⣠⣶⠿ x", "水位", "e\u0301", "…\u0301x", "\u0301", "a\u200d", "👩‍🔧", "±5 mm → 4", "\x1b", "\xff", "🇩🇪", "│\ufe0f"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		assert.Equal(t, widths.StringWidth(Safe(s)), cells(Safe(s)), "%q", s)
	})
}
