package faulttree

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A part under the lid is work near mains unless the sheet says that there are none in the box: its cautions say so, and who
// may not open mains enclosures is not sent there.
func TestARemedyUnderTheLidIsWorkNearMains(t *testing.T) {
	near, clear := sheet(), sheet()
	near.Controller.MainsInBox, clear.Controller.MainsInBox = "yes", "no"
	for _, tc := range []struct {
		opt      Options
		caution  bool
		licensed bool
	}{
		{Options{Sheet: near}, true, true},
		{Options{Sheet: near, NoMains: true}, true, false},
		{Options{Sheet: clear, NoMains: true}, false, true},
		{Options{NoMains: true}, true, false}, // nobody knows
	} {
		w := withSheet(t, "pump-wont-start", tc.opt)
		o := w.RemedyOf("base-r-high")
		assert.Equal(t, tc.caution, slices.ContainsFunc(o.Cautions, func(c Caution) bool { return c.Hazard == "mains-dead" }))
		assert.Equal(t, tc.licensed, !strings.HasPrefix(o.Title, forElectrician))
	}
	o := withSheet(t, "no-echo", Options{Sheet: near, NoMains: true}).RemedyOf("face-wet")
	assert.False(t, strings.HasPrefix(o.Title, forElectrician), "a face is wiped without opening the box")
}
