package diagnostics

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestHoldsBothWays: a bad word must last its hold before it is shown, a good one a third of it before it is gone
// again; both in the feed's time, however often the word is asked for.
func TestHoldsBothWays(t *testing.T) {
	const hold = 30.0
	for _, every := range []float64{0.1, 1, 3} {
		for _, tt := range []struct {
			bad, good float64 // s that the bad word lasts, and the good one after it
			want      string
		}{
			{hold - 4, 0, "good"}, {hold + 4, 0, "bad"}, {hold + 4, hold/3 - 4, "bad"}, {hold + 4, hold/3 + 4, "good"},
		} {
			h := newHolder(Aspect{"a", []string{"good", "bad"}}, hold, "bad")
			at := 0.0
			see := func(word string, lasting float64) {
				for end := at + lasting; at < end; at += every {
					h.see(at, word)
				}
			}
			see("good", 60)
			see("bad", tt.bad)
			see("good", tt.good)
			assert.Equal(t, tt.want, h.word(false, ""), fmt.Sprint(every, tt))
		}
	}
}

// A word that changes with every look never comes to be shown: no verdict flickers.
func TestNothingFlickers(t *testing.T) {
	h := newHolder(Aspect{"a", []string{"good", "bad"}}, 30, "bad")
	h.see(0, "good")
	for i := range 1000 {
		h.see(float64(i), []string{"bad", "good"}[i%2])
		assert.Equal(t, "good", h.word(false, ""))
	}
	assert.Empty(t, h.ep.spans)
}
