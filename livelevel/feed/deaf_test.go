package feed_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/livelevel"
)

// TestADamagedLineOfADeafBoard: a line that was torn while nothing but lost echoes had come is no news
// to what was learned of it, wherever it stands.
func TestADamagedLineOfADeafBoard(t *testing.T) {
	const all = 300
	for torn := range 60 {
		for _, wrong := range []string{"Distance: out of ra", "ge  Pump: OFF", "Dist\x00nce: out of range  Pump: OFF"} {
			var b strings.Builder
			for i := range all {
				if i == torn {
					fmt.Fprintf(&b, "%s\r\n", wrong)
					continue
				}
				b.WriteString("Distance: out of range  Pump: OFF\r\n")
			}
			got, _ := drain(t, start(strings.NewReader(b.String()), true))
			reports := count(got, livelevel.Report)
			assert.GreaterOrEqual(t, reports, all-2, "torn %d %q", torn, wrong)
		}
	}
}
