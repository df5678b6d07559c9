package command

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestProgressLine(t *testing.T) {
	for _, c := range []struct {
		done, all float64
		lines     int64
		took      time.Duration
		want      string
	}{
		{0, 0, 1, time.Second, "listening: 1 line"},
		{0, 1000, 0, 0, "[....................]   0 %  0 lines"},
		{430, 1000, 2_580_000, time.Second, "[########............]  43 %  2580000 lines"},
		{250, 1000, 1_500_000, 3 * time.Second, "[#####...............]  25 %  1500000 lines, 500000 a second, about 9s left"},
		{1000, 1000, 6_048_000, 5 * time.Second, "[####################] 100 %  6048000 lines"},
		{1200, 1000, 7, 5 * time.Second, "[####################] 100 %  7 lines"},
		{1, 1e6, 7, time.Minute, "[....................]   0 %  7 lines, 0 a second, about 16666h39m0s left"},
	} {
		assert.Equal(t, c.want, progressLine(c.done, c.all, c.lines, c.took))
		assert.Less(t, len(c.want), 80)
	}
}
