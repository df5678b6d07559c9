//go:build unix

package command

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/tui/screentest"
	"example.org/tankhand/tui/settings"
)

// TestANewcomerFromTheStartScreen begins with nothing but a recording: opens it from the start screen, makes a
// site sheet from the questions, sees the level, says who works, closes the visit, and reads it again.
func TestANewcomerFromTheStartScreen(t *testing.T) {
	config, data := t.TempDir(), t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", config)
	t.Chdir(t.TempDir())
	log := filepath.Join(data, "night.log")
	installation := install(t, "hyst-small")
	require.NoError(t, installation.Connect())
	require.NoError(t, os.WriteFile(log, installation.Advance(20*time.Minute), 0o600))

	screen := screentest.StartFunc(t, 80, 24, func(tty *os.File) error {
		p := &Program{In: tty, Out: tty, Err: tty, Version: "test"}
		if status := p.Run([]string{"--data", data}); status != 0 {
			return fmt.Errorf("exit status %d", status)
		}
		return nil
	})
	screen.WaitFor("Where does the feed come from?")
	screen.Type("g")
	screen.WaitFor("May open mains enclosures")
	screen.Type("1")
	screen.WaitFor("Technician: [")
	screen.Type("A. N. Other", "<enter>")
	screen.WaitFor("+ kept in")
	screen.Type("<esc>")
	screen.WaitFor("a recording")
	for !strings.Contains(screen.Screen(), ">   a recording") && !strings.Contains(screen.Screen(), ">     a recording") {
		before := screen.Screen()
		screen.Type("<down>")
		within(2*time.Second, func() bool { return screen.Screen() != before })
	}
	screen.Type("<enter>")
	screen.WaitFor("Path of the file: [")
	screen.Type(log, "<enter>")
	screen.WaitFor("Which installation is it?")
	screen.Type("2")
	for _, step := range []struct{ ask, answer string }{
		{"Number of this installation: [", "HT-2"}, {"Shape of the tank?", ""}, {"Inside diameter: [", "1.10 m"},
		{"Inside height, from the lowest point: [", "1.60 m"}, {"Transducer face above the tank's bottom: [", "1.75 m"},
	} {
		screen.WaitFor(step.ask)
		screen.Type(step.answer, "<enter>")
	}
	screen.WaitFor("What does the customer say?")
	screen.WaitFor("m deep")
	screen.WaitFor("end of the log")
	screen.Type("<enter>")
	screen.WaitFor("min so far")
	screen.Type("h")
	screen.WaitFor("how does the visit end?")
	screen.Type("3")
	screen.WaitFor("> 3 handed on")
	screen.Type("<enter>")
	screen.WaitFor("Report:")
	screen.Type("p")
	screen.WaitFor("1 visit, 0 of them open")
	screen.Type("<enter>")
	screen.WaitFor("It is the visit on the bench")
	screen.Type("q")
	screen.WaitFor("Leave?")
	screen.Type("<enter>")
	require.NoError(t, screen.Wait())

	kept, err := settings.Load(filepath.Join(config, "tankhand", "settings.yaml"))
	require.NoError(t, err)
	require.Equal(t, "A. N. Other", kept.Technician)
	require.FileExists(t, filepath.Join(config, "tankhand", "sites", "ht-2.yaml"))
	report, err := os.ReadFile(filepath.Join(data, "reports", "visit-1-ht-2.html"))
	require.NoError(t, err)
	require.True(t, strings.Contains(string(report), "A. N. Other"), "the report names the technician of the settings")
	_, err = os.Stat(filepath.Join(data, "reports", "visit-1-ht-2-customer.html"))
	require.NoError(t, err)
}
