package rig

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/site"
)

// The rig's sheet is a site sheet without mistakes, of the installation that is simulated.
func TestSheetParses(t *testing.T) {
	for _, shape := range []string{"", "box", "horizontal cylinder", "sphere", "cone bottom"} {
		i, err := New(Options{Tank: shape})
		require.NoError(t, err)
		s, err := site.Parse("rig.yaml", []byte(i.SheetText()))
		require.NoError(t, err, "%s", shape)
		require.NotNil(t, s.Tank.Shape)
		for _, h := range []float64{0.1, 0.6, 1.3} {
			assert.InEpsilon(t, i.tank.volume(h), s.Tank.Shape.Volume(h), 1e-6, "%s at %g m", shape, h)
		}
		assert.InDelta(t, faceHeight, s.Sensor.FaceHeight.V, 1e-9)
		assert.InDelta(t, healthyFlow, s.Pump.HealthyFlow.V, 1e-9)
		assert.InDelta(t, lowSet/100, s.Marks.LowSet.V, 1e-9)
		assert.InDelta(t, brownOut, s.Supply.BrownOut.V, 1e-9)
	}
}

// What was set so from the start stands in the sheet; what came later, or nobody wrote down, does not.
func TestSheetIsTheRecord(t *testing.T) {
	full := func(fault string) float64 {
		s, err := site.Parse("rig.yaml", []byte(rigged(t, fault).SheetText()))
		require.NoError(t, err)
		return s.Marks.FullSet.V
	}
	assert.InDelta(t, 0.95, full("healthy"), 1e-9)
	assert.Less(t, full("hyst-small"), 0.42)
	assert.InDelta(t, 0.95, full("hyst-small@10s"), 1e-9)
	assert.InDelta(t, 0.95, full("taught-wrong"), 1e-9)
}
