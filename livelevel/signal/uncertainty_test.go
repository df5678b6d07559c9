package signal

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/testdata/reference"
)

// JCGM 100:2008, H.1, end-gauge calibration: uc = 32 nm, 16 effective degrees of freedom (16.7
// truncated), t99 = 2.92, U99 = 93 nm.
func TestCombineAgainstTheEndGauge(t *testing.T) {
	u, nu := reference.Column(t, "gum_h1.csv", "u_nm"), reference.Column(t, "gum_h1.csv", "dof")
	uc := Combine(u...)
	assert.InDelta(t, 32, uc, 0.5)
	assert.InDelta(t, 1002, uc*uc, 0.5)
	assert.InDelta(t, 16.7, EffectiveDegrees(u, nu), 0.05)
	assert.InDelta(t, 93, StudentQuantile(0.995, 16)*uc, 1)
}

func TestRectangularAndResolution(t *testing.T) {
	assert.InDelta(t, 2.8868, Rectangular(5), 5e-5) // uncertainty_level_example.csv
	assert.InDelta(t, 2.8868, Resolution(10), 5e-5)
}
