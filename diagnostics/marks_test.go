package diagnostics

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// In air of 35 °C the echo of a controller that reckons with 331 m/s comes 6.5 % sooner than it thinks (c = 331.3 +
// 0.606 T, handbook formula). Its marks are in its own distances, and so agree with what was taught.
func TestMarksAreDistancesAsTheControllerHasThem(t *testing.T) {
	sheet, err := site.Parse("s.yaml", []byte("sheet: tankhand/site/1\ntank: {shape: vertical cylinder, diameter: 1.2 m, height: 1.8 m}\n"+
		"sensor: {face_height: 2 m, assumed_speed: 331 m/s, air_temperature: 35 degC}\nmarks: {full: 0.40 m, empty: 1.60 m, low_set: 30 %}\n"))
	require.NoError(t, err)
	m, g := NewMonitor(sheet, 0), livelevel.NewGauge(sheet)
	at := time.Unix(1e9, 0)
	for i := range 600 {
		at = at.Add(time.Second)
		own := 0.7 + float64(i)/1000
		r := livelevel.Reading{Time: at}
		r.Set(livelevel.Ullage, own)
		r.Set(livelevel.LevelPercent, 100*(1.60-own)/1.20)
		l := g.Add(r)
		require.Greater(t, l.RawUllage, 1.05*own)
		m.Add(&l)
	}
	for _, f := range m.Findings(at) {
		if f.Check == "marks" {
			assert.Equal(t, Pass, f.Verdict, f.Why)
		}
	}
}

// A percent in whole numbers is up to half of one off, and a level that rests for hours rests off by as much: the line
// through percent and distance is then drawn askew, and the marks at its ends are not said to differ.
func TestARestingLevelIsNoOtherMark(t *testing.T) {
	sheet, err := site.Parse("s.yaml", []byte("sheet: tankhand/site/1\ntank: {shape: vertical cylinder, diameter: 1.2 m, height: 2.2 m}\n"+
		"sensor: {face_height: 2.4 m}\nmarks: {full: 0.28 m, empty: 2.29 m, low_set: 30 %}\n"))
	require.NoError(t, err)
	for _, rest := range []float64{68.45, 68.55, 70.45, 70.55, 72.45} {
		m, g := NewMonitor(sheet, 0), livelevel.NewGauge(sheet)
		at := time.Unix(1e9, 0)
		for i := range 9000 {
			at = at.Add(time.Second)
			percent := max(rest, 95-float64(i)/40)
			r := livelevel.Reading{Time: at}
			r.Set(livelevel.Ullage, 2.29-2.01*percent/100)
			r.Set(livelevel.LevelPercent, math.Round(percent))
			l := g.Add(r)
			m.Add(&l)
		}
		for _, f := range m.Findings(at) {
			if f.Check == "marks" {
				assert.NotEqual(t, Fail, f.Verdict, "at rest at %g %%: %s", rest, f.Why)
			}
		}
	}
}
