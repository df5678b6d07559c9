package bench

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/tui/draw"
)

// Every figure of every shipped check has a readable name and, where it is unknown, says so.
func TestTheFiguresOfAllChecksAreReadable(t *testing.T) {
	m := diagnostics.NewMonitor(sceneSheet(), time.Minute)
	list := append(m.Findings(sceneNow), diagnostics.Desk(sceneSheet())...)
	assert.NotEmpty(t, list)
	for _, f := range list {
		for _, g := range f.Figures {
			name, value := draw.Units{}.Figure(g)
			assert.NotContains(t, name, "_", f.Check)
			if math.IsNaN(g.Value) {
				assert.Equal(t, "unknown", value, "%s %s", f.Check, g.Name)
			}
		}
		for _, l := range draw.Evidence(f, draw.Units{}, 78) {
			assert.LessOrEqual(t, l.Width(), 78, f.Check)
		}
	}
}
