package knowledge

import (
	"testing"
	"testing/fstest"
)

// A firm's file is somebody else's: whatever stands in it, it is refused or it loads.
func FuzzFirmFile(f *testing.F) {
	f.Add("probes.yaml", goodProbe)
	f.Add("probes.yaml", "sensor-face: {rows: {tilt: [1]}}")
	f.Add("no-echo.yaml", "complaint: no-echo\npriors: {tilt: 1}\nrows: {sensor-face: {tilt: [0.5, 0.5]}}")
	f.Add("causes.yaml", "x: {title: t, proof: [1]}")
	f.Add("mine.yaml", complaint("priors: {face-wet: 1, tilt: 1}"))
	f.Add("about.yaml", "tilt: []")
	f.Fuzz(func(t *testing.T, name, text string) {
		switch name {
		case "probes.yaml", "causes.yaml", "about.yaml", "no-echo.yaml", "mine.yaml":
		default:
			t.Skip()
		}
		base, _, err := LintAll(fstest.MapFS{name: {Data: []byte(text)}}, "firm")
		if err == nil && len(base.Complaints) < 8 {
			t.Fatal("a firm's file took shipped complaints away")
		}
	})
}
