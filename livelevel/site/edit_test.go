package site

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A sheet that is made by answering the questions is the sheet that a file with the same answers is.
func TestQuestionsMakeASheet(t *testing.T) {
	answers := map[string]string{
		"site": "Quarry Lane glasshouse", "asset": "HT-2", "drinking_water": "no", "tank.shape": "horizontal cylinder", "tank.diameter": "1.5 m", "tank.length": "3 m",
		"tank.heads": "ellipsoidal", "sensor.kind": "sealed single", "sensor.face_height": "1.75 m ± 5 mm (measured)", "marks.full": "0.35 m", "marks.empty": "1.70 m",
		"marks.low_set": "40 %", "marks.full_set": "0.40 m", "controller.mains_in_box": "yes", "pump.healthy_flow": "10 gpm",
	}
	s := Empty()
	var asked []string
	for qs := Questions(s); len(qs) > 0; qs = Questions(s) {
		q := qs[0]
		require.Contains(t, answers, q.Path, "of this shape nothing else is asked")
		require.NoError(t, s.Set(q.Path, answers[q.Path]))
		asked = append(asked, q.Path)
		require.LessOrEqual(t, len(asked), len(answers))
	}
	assert.Len(t, asked, len(answers))
	assert.InDelta(t, 0.25, s.Sensor.Blanking.V, 1e-12, "the kind of sensor brings its presets")
	require.NoError(t, s.Set("sensor.kind", "open pair"))
	assert.InDelta(t, 0.03, s.Sensor.Blanking.V, 1e-12)
	require.NoError(t, s.Set("sensor.kind", "sealed single"))
	assert.InDelta(t, 6.18501054, s.Tank.Shape.Volume(9), 1e-6)
	assert.InDelta(t, 1.5, s.Tank.Height.V, 1e-12)
	back := mustParse(t, s.String())
	assert.Equal(t, s.String(), back.String())
	assert.Equal(t, s.Tank.Shape.Volume(0.7), back.Tank.Shape.Volume(0.7))
	assert.Empty(t, Questions(back))
}

func TestEveryQuestionIsAPathOfTheSheet(t *testing.T) {
	for _, q := range questions {
		assert.True(t, texts[q.Path] != nil || wordOf(q.Path) != nil || byPath[q.Path] != nil, q.Path)
		assert.NotEmpty(t, q.Ask)
		assert.NotEmpty(t, q.Help)
	}
}

func TestSetRefusesMistakesAndChangesNothing(t *testing.T) {
	s := mustParse(t, quarryLane)
	before := s.String()
	for path, bad := range map[string]string{
		"tank.shape": "cone bottomm", "tank.diameter": "-1 m", "tank.height": "5 V", "sensor.kind": "single", "marks.low_set": "40", "pump.oil": "1 l",
		"controller.confirm": "0", "relay.diode": "perhaps", "sensor.face_height": "1.75 m (guess)", "": "1",
	} {
		assert.Error(t, s.Set(path, bad), path)
		assert.Equal(t, before, s.String(), path)
		assert.NotNil(t, s.Tank.Shape)
	}
	require.NoError(t, s.Set("tank.diameter", "2 m"))
	assert.InDelta(t, 3.14159265*1.6, s.Tank.Shape.Volume(9), 1e-6)
	require.NoError(t, s.Set("tank.diameter", "unknown"))
	assert.Nil(t, s.Tank.Shape)
	assert.ErrorContains(t, s.Set("tank.diametre", "1 m"), "did you mean tank.diameter?")
	assert.ErrorContains(t, s.Set("tank.shape", "spere"), "did you mean sphere?")
}
