package livelevel

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func levelAt(s float64, height float64) *Level {
	r := Reading{Time: feedStart.Add(time.Duration(s * float64(time.Second)))}
	return &Level{Reading: r, How: Smoothed, Height: height, Ullage: 2 - height}
}

func TestWindowThinsAndForgets(t *testing.T) {
	w := NewWindow(time.Minute, 6)
	assert.Empty(t, w.Trend())
	for i := range 1000 {
		w.Add(levelAt(float64(i)/10, float64(i)/1000))
	}
	p := w.Trend()
	assert.Len(t, p, 6)
	assert.Equal(t, feedStart.Add(90*time.Second), p[5].At)
	assert.InDelta(t, 0.999, p[5].Height, 1e-9)
	assert.InDelta(t, 0.900, p[5].Low, 1e-9)
	assert.InDelta(t, 0.999, p[5].High, 1e-9)
	assert.InDelta(t, 1.001, p[5].Ullage, 1e-9)
	for i := 1; i < len(p); i++ {
		assert.True(t, p[i].At.After(p[i-1].At))
	}
}

func TestWindowKeepsWhatHappened(t *testing.T) {
	w := NewWindow(time.Minute, 6)
	pump := levelAt(0, 1)
	pump.Reading.Set(Pump, 1)
	lost := levelAt(11, math.NaN())
	lost.How, lost.Reading.EchoLost, lost.Ullage = Unknown, true, math.NaN()
	boot := levelAt(21, 1)
	boot.Reading.Kind = Restart
	for _, l := range []*Level{pump, levelAt(1, 1.2), lost, boot, {}} {
		w.Add(l)
	}
	p := w.Trend()
	assert.Len(t, p, 3)
	assert.True(t, p[0].Pump && !p[0].Dropout)
	assert.True(t, p[1].Dropout && math.IsNaN(p[1].Height))
	assert.True(t, p[2].Restart)
	w.Add(levelAt(1e6, 1))
	assert.Len(t, w.Trend(), 1, "an old past is past")
	w.Reset()
	assert.Empty(t, w.Trend())
}
