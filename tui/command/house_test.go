package command_test

import (
	"encoding/json"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const module = "example.org/tankhand"

// listed is what the go command says of one package; Imports are those of the non-test files.
type listed struct {
	ImportPath string
	Imports    []string
}

func packages(t *testing.T) []listed {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports", module+"/...").Output()
	require.NoError(t, err)
	var all []listed
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		err := dec.Decode(&p)
		if err == io.EOF {
			return all
		}
		require.NoError(t, err)
		all = append(all, p)
	}
}

// room is a package's path below the module.
func room(path string) string { return strings.TrimPrefix(strings.TrimPrefix(path, module), "/") }

func within(path, dir string) bool { return path == dir || strings.HasPrefix(path, dir+"/") }

// TestHouse holds the walls of the house: who may import what.
func TestHouse(t *testing.T) {
	terminal := []string{"github.com/charmbracelet/bubbletea", "github.com/charmbracelet/lipgloss", "github.com/charmbracelet/bubbles"}
	device := []string{"go.bug.st/serial", "github.com/creack/pty"}
	leaves := map[string]bool{"livelevel/quantity": true, "livelevel/sheet": true, "livelevel/signal": true, "livelevel/tank": true,
		"livelevel/sound": true, "livelevel/site": true, "diagnostics/circuit": true, "diagnostics/hydraulics": true}
	for _, p := range packages(t) {
		from := room(p.ImportPath)
		for _, imported := range p.Imports {
			for _, lib := range terminal {
				if within(imported, lib) {
					require.True(t, within(from, "tui"), "%s imports %s: only tui draws", from, imported)
				}
			}
			for _, lib := range device {
				if within(imported, lib) && from != "tui/screentest" { // which only tests import
					require.Equal(t, "livelevel/port", from, "%s imports %s: only port opens devices", from, imported)
				}
			}
			if !within(imported, module) {
				continue
			}
			to := room(imported)
			if to == "livelevel/rig" {
				require.True(t, from == "" || within(from, "tui"), "%s imports the rig: its truth could leak into a verdict", from)
			}
			if leaves[from] {
				require.True(t, leaves[to], "%s is a leaf and imports %s", from, to)
			}
			if within(from, "livelevel") {
				require.True(t, within(to, "livelevel"), "%s imports %s: levels know nothing of checks and faults", from, to)
			}
			if within(from, "diagnostics") {
				require.True(t, within(to, "livelevel") || within(to, "diagnostics"), "%s imports %s", from, to)
			}
			if within(from, "faulttree") {
				require.False(t, within(to, "tui"), "%s imports %s: the screen is a view", from, to)
			}
			if strings.HasPrefix(from, "tui/") && from != "tui/command" {
				require.NotEqual(t, "tui", to, "%s imports the assembly of the screens", from)
			}
		}
	}
}

// TestEveryReferenceTableIsRead: a table that no test reads proves nothing.
func TestEveryReferenceTableIsRead(t *testing.T) {
	var tests strings.Builder
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") || strings.HasSuffix(path, "house_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		tests.Write(text)
		return err
	})
	require.NoError(t, err)
	tables, err := filepath.Glob("../../testdata/reference/*.csv")
	require.NoError(t, err)
	require.NotEmpty(t, tables)
	for _, path := range tables {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		require.True(t, strings.HasPrefix(string(text), "#"), "%s begins with its source", path)
		name := strings.TrimSuffix(filepath.Base(path), ".csv")
		// The certified sets of NIST are read by their name within the list of certified values.
		read := strings.Contains(tests.String(), name) || strings.HasPrefix(name, "nist_") && strings.Contains(tests.String(), "nist_certified")
		require.True(t, read, "no test reads %s", path)
	}
}
