package dialect

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
)

func TestARareEmptyCellIsALostEchoInTheEnd(t *testing.T) {
	d, err := Parse("x", []byte("dialect: tankhand/dialect/1\nname: x\nkind: csv\nseparator: \";\"\ndecimal: \",\"\nfields:\n  - {role: uptime, at: \"#1\", unit: s}\n  - {role: ullage, at: \"#2\", unit: cm}\n  - {role: pump, at: \"#3\", on: [1], off: [0]}\n"))
	require.NoError(t, err)
	dec, err := NewDecoder(d)
	require.NoError(t, err)
	var out []livelevel.Reading
	for i := range 200 {
		out = dec.Decode(out, fmt.Appendf(nil, "%d;%d,%d;0", i/2, 150+i/9, i%10), time.Time{})
	}
	for i := range silent {
		dec.Decode(nil, fmt.Appendf(nil, "%d;%d,5;0", 100+i, 172), time.Time{})
		out = dec.Decode(out[:0], fmt.Appendf(nil, "%d;;0", 100+i), time.Time{})
		require.Len(t, out, 1)
	}
	assert.Equal(t, livelevel.Report, out[0].Kind)
	assert.True(t, out[0].EchoLost)
	out = dec.Decode(out[:0], []byte("100;0"), time.Time{})
	require.Len(t, out, 1)
	assert.Equal(t, livelevel.Rejected, out[0].Kind, "a cell that is missing is damage")
}

func TestAClockInWholeSecondsUnderSeveralReportsASecond(t *testing.T) {
	l := NewLearner(nil)
	for i := range 600 {
		l.Add(fmt.Appendf(nil, "%d;%d,%d;%d", 4000+i/3, 150+i/60, (i*7)%10, i/300), time.Time{})
	}
	p := l.Propose()
	require.Len(t, p.Columns, 3)
	assert.Equal(t, livelevel.Uptime, p.Columns[0].Role)
	assert.Equal(t, "s", p.Columns[0].Unit)
	assert.Equal(t, livelevel.Ullage, p.Columns[1].Role)
	assert.Equal(t, "cm", p.Columns[1].Unit)
	assert.Equal(t, livelevel.Pump, p.Columns[2].Role)
}

func TestALevelDrawnDownDoesNotKeepTime(t *testing.T) {
	assert.True(t, beats([]float64{1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6, 7, 7, 8}))
	assert.False(t, beats([]float64{1, 1, 2, 2, 2, 2, 3, 3, 4, 4, 5, 5, 5, 6, 6, 6, 7, 7, 7, 8}))
	assert.False(t, beats([]float64{1, 1, 2, 2}), "too short to tell")
}

// The label says level, the number falls while the pump fills and rises as water is drawn: it is the distance.
func TestMotionWithThePumpOverrulesALabel(t *testing.T) {
	for label, want := range map[string]livelevel.Role{"level": livelevel.Ullage, "niveau": livelevel.Ullage, "dist": livelevel.Ullage} {
		l := NewLearner(nil)
		for i := range 400 {
			u := 150 - float64(i%200)*0.2
			if i%200 >= 100 {
				u = 130 + float64(i%200-100)*0.2
			}
			l.Add(fmt.Appendf(nil, "%s=%.1f cm pump=%s", label, u, map[bool]string{true: "on", false: "off"}[i%200 < 100]), time.Time{})
		}
		p := l.Propose()
		assert.Equal(t, want, p.Columns[0].Role, label)
	}
	l := NewLearner(nil) // a level under a draw-off larger than the inflow falls with the pump on too
	for i := range 400 {
		l.Add(fmt.Appendf(nil, "level=%.1f cm pump=%s", 180-float64(i)*0.2-float64(i%200)*0.05, map[bool]string{true: "on", false: "off"}[i%200 < 100]), time.Time{})
	}
	assert.Equal(t, livelevel.LevelHeight, l.Propose().Columns[0].Role)
}

func TestAMarkInThePlaceOfANumberWithoutALabel(t *testing.T) {
	d, err := Parse("x", []byte("dialect: tankhand/dialect/1\nname: x\nkind: text\nfields:\n  - {role: ullage, at: Dist, unit: in, lost: [0]}\n  - {role: level-percent, at: \"#2\", unit: \"%\"}\n  - {role: pump, at: MOTOR, off: [OFF]}\n"))
	require.NoError(t, err)
	dec, err := NewDecoder(d)
	require.NoError(t, err)
	for i := range 5 {
		dec.Decode(nil, fmt.Appendf(nil, "Dist 43.%d in | 40%% | MOTOR OFF", i), time.Time{})
	}
	for _, line := range []string{"Dist 0.0 in | --% | MOTOR OFF", "Dist --- in | --% | MOTOR ON"} {
		out := dec.Decode(nil, []byte(line), time.Time{})
		require.Len(t, out, 1)
		assert.Equal(t, livelevel.Report, out[0].Kind, line)
		assert.True(t, out[0].EchoLost, line)
	}
}

func TestASystemLogWithDateAndProcess(t *testing.T) {
	l := NewLearner(nil)
	for i := range 400 {
		l.Add(fmt.Appendf(nil, "May  1 07:%02d:%02d tank ctl[12]: dist %d.%d cm", i/60, i%60, 70+i/40, i%10), time.Time{})
	}
	p := l.Propose()
	require.True(t, p.Settled)
	roles := map[string]string{}
	for _, f := range p.Dialect.Fields {
		roles[f.Role] = f.At
	}
	assert.Equal(t, map[string]string{"time": "#1", "ullage": "dist"}, roles)
}

func TestABoardThatOnlyStartsHasNoLevel(t *testing.T) {
	var lines []string
	for range 100 {
		lines = append(lines, "boot: firmware 2.07", "sensor ok")
	}
	assert.False(t, Learn(lines, nil).Settled)
	for _, s := range []string{"System start", "*** RESET (brownout) ***", "selftest passed", "power-up"} {
		assert.Equal(t, BootText, Classify([]byte(s)), s)
	}
}
