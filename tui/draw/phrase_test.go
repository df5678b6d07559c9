package draw

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The factors are exact by definition: inch 25.4 mm, US gallon 231 cubic inches (NIST Handbook 44, appendix
// C, from memory); 2.3 m3/h are 10.1 gal/min.
func TestPhrasesInUSUnits(t *testing.T) {
	us := Units{US: true}
	for metric, want := range map[string]string{
		"Start and stop lie 74.2 cm apart, the reading scatters by 6.7 mm.": "Start and stop lie 29.2 in apart, the reading scatters by 0.264 in.",
		"1 run, the pump brings 2.3 m3/h":                                   "1 run, the pump brings 10.1 gal/min",
		"0.588 m deep, 558.6 l":                                             "23.1 in deep, 148 gal",
		"about 20 degC here, 343 m/s":                                       "about 68.0 degF here, 1125 ft/s",
		"for 5 min, 3 ms, 41 starts, 4.93 V":                                "for 5 min, 3 ms, 41 starts, 4.93 V",
		"0 mm":                                                              "0 in",
	} {
		assert.Equal(t, want, us.Phrase(metric))
		assert.Equal(t, metric, Units{}.Phrase(metric))
	}
}
