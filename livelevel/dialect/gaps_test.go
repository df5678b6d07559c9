package dialect

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
)

// reporting is a line of a controller that prints one report a line.
func reporting(i int) string {
	d, p, m, _ := gen(i)
	return fmt.Sprintf("Distance: %.1f cm  Level: %.0f %%  Pump: %s", d, p, []string{"OFF", "ON"}[m])
}

// A board that starts over and over leaves an empty line before each greeting: that parts no blocks.
func TestStartsDoNotPartReportsIntoBlocks(t *testing.T) {
	var lines []string
	for i := range 60 {
		if lines = append(lines, reporting(i)); i%5 == 4 {
			lines = append(lines, "", "Tank level controller, start-up", "reset cause: brown-out")
		}
	}
	p := Learn(lines, nil)
	require.True(t, p.Dialect.Block.single(), "%+v", p.Dialect.Block)
}

func TestTheNextReportCarriesTheCauseOfAStart(t *testing.T) {
	var lines []string
	for i := range 40 {
		lines = append(lines, reporting(i))
	}
	d := Learn(lines, nil).Dialect
	got := decodeAll(t, d, append(lines, "", "Tank level controller, start-up", "reset cause: brown-out", reporting(41), reporting(42)))
	require.Equal(t, livelevel.Restart, got[40].Kind)
	require.True(t, got[41].Has(livelevel.ResetCause))
	assert.Equal(t, "reset cause: brown-out", got[41].Text)
	assert.False(t, got[42].Has(livelevel.ResetCause))
}

// Without marks a controller prints dashes for its level for ever, and hears its echoes all the same.
func TestALevelThatNeverCameIsNoLostEcho(t *testing.T) {
	var lines []string
	for i := range 40 {
		d, _, m, _ := gen(i)
		lines = append(lines, fmt.Sprintf("Distance: %.1f cm  Level: -- %%  Pump: %s", d, []string{"OFF", "ON"}[m]))
	}
	for _, r := range decodeAll(t, Learn(lines, nil).Dialect, lines) {
		assert.False(t, r.EchoLost)
		assert.True(t, r.Has(livelevel.Ullage))
	}
	lines = append(lines, "Distance: no echo  Level: -- %  Pump: OFF")
	got := decodeAll(t, Learn(lines, nil).Dialect, lines)
	assert.True(t, got[len(got)-1].EchoLost)
}

func decodeAll(t *testing.T, d Dialect, lines []string) (all []livelevel.Reading) {
	t.Helper()
	dec, err := NewDecoder(d)
	require.NoError(t, err)
	for _, l := range lines {
		all = dec.Decode(all, []byte(l), time.Time{})
	}
	return dec.End(all, time.Time{})
}
