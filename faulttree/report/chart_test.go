package report

import (
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/visit"
)

func TestChartPutsPointsWhereTheAxesSay(t *testing.T) {
	at := func(min int, h float64) visit.Point {
		return visit.Point{At: begun.Add(time.Duration(min) * time.Minute), Height: h, Low: h, High: h}
	}
	r := New(visit.Visit{}, Options{Chart: []visit.Point{at(0, 0), at(30, 0.5), at(60, 1)}})
	c, ok := r.newChart(720, 240, 48, 40)
	require.True(t, ok)
	require.Len(t, c.lines, 1)
	l := c.lines[0]
	assert.InDelta(t, c.left, l[0].x, 1e-9)
	assert.InDelta(t, c.bottom, l[0].y, 1e-9)
	assert.InDelta(t, (c.left+c.right)/2, l[1].x, 1e-9)
	assert.InDelta(t, c.right, l[2].x, 1e-9)
	assert.InDelta(t, c.top, l[2].y, 1e-9)
	assert.Equal(t, "m", c.unit)
	assert.GreaterOrEqual(t, len(c.xs), 2)
	for _, tk := range c.ys {
		assert.True(t, tk.at >= c.top-1e-9 && tk.at <= c.bottom+1e-9)
	}
}

func TestChartBreaksWhereTheLevelIsUnknown(t *testing.T) {
	c, ok := sample(t, Metric).newChart(720, 240, 48, 40)
	require.True(t, ok)
	assert.Len(t, c.lines, 2, "a gap is not drawn over")
	assert.Len(t, c.restarts, 3)
	assert.Len(t, c.dropouts, 1)
	assert.Len(t, c.pump, 6)
}

func TestChartOfLittleOrNothingIsLeftOut(t *testing.T) {
	nan := visit.Point{At: begun, Height: math.NaN()}
	for _, points := range [][]visit.Point{nil, {nan, nan}, {{At: begun, Height: 1}}, {{At: begun, Height: 1}, {At: begun, Height: 2}},
		{{At: begun, Height: math.Inf(1)}, {At: begun.Add(time.Hour), Height: 1}}} {
		_, ok := New(visit.Visit{}, Options{Chart: points}).newChart(720, 240, 48, 40)
		assert.False(t, ok)
	}
}

func TestNiceRange(t *testing.T) {
	for _, c := range []struct{ low, high, first, step float64 }{{0, 1, 0, 0.2}, {0.88, 1.21, 0.8, 0.1}, {0, 100, 0, 20}, {-3, 3, -3, 1}} {
		first, step := niceRange(c.low, c.high)
		assert.InDelta(t, c.first, first, 1e-9)
		assert.InDelta(t, c.step, step, 1e-9)
	}
	for _, v := range []float64{0, 1, -5, 1e-9, 1e9} { // a flat line still gets an axis
		first, step := niceRange(v, v)
		assert.Positive(t, step)
		assert.LessOrEqual(t, first, v)
	}
}

func TestSVGIsWellFormed(t *testing.T) {
	c, ok := sample(t, US).newChart(720, 240, 48, 40)
	require.True(t, ok)
	d := xml.NewDecoder(strings.NewReader(string(svg(c))))
	for {
		_, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
	}
}
