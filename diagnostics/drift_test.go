package diagnostics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A correlation of 0.5 in 28 pairs lies between 0.156 and 0.736: z = 0.5493 +- 1.96/5 (worked by hand).
func TestFisher(t *testing.T) {
	f := fisher(0.5, 28)
	assert.InDelta(t, 0.1558, f.low, 5e-4)
	assert.InDelta(t, 0.7357, f.high, 5e-4)
	assert.True(t, math.IsNaN(fisher(0.5, 3).low), "three pairs tell nothing")
}
