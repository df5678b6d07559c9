package command_test

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/testdata/reference"
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
			forTests := within(to, "testdata") || to == "tui/screentest" || to == "diagnostics/script"
			require.False(t, forTests, "%s imports %s, which is for tests alone", from, to)
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

// references are the tables that must be there, by subject: one that was deleted would prove nothing
// and be missed by nobody.
var references = map[string][]string{
	"tanks":       {"tank_cases", "tank_published", "horizontal_cylinder_fraction", "strapping_table"},
	"sound":       {"sound_speed_dry", "sound_speed_humid", "absorption_40khz", "absorption_iso_table1", "echo_loss_budget", "echo_time"},
	"beam":        {"beam_footprint", "piston_beam"},
	"pump, water": {"pump_cycle", "flow_from_level", "affinity_laws", "hydraulic_power", "pipe_velocity", "suction_limit", "water_properties"},
	"motor":       {"motor_single_phase_current", "nema_mg10_starts"},
	"wire":        {"iec60228_resistance", "awg_copper", "dc_voltage_drop"},
	"circuit":     {"relay_driver", "coil_temperature", "echo_divider", "flyback", "rc_debounce"},
	"uncertainty": {"gum_h1", "uncertainty_level_example", "two_point_calibration"},
	"signal": {"hampel_example", "theil_sen_example", "cusum_arl", "gauss_tail", "false_switch", "binomial_interval", "nist_certified",
		"nist_norris", "nist_lew", "nist_lottery", "nist_mavro", "nist_michelso"},
	"feed": {"nmea0183_checksum", "rfc2217_codes", "rfc2217_negotiation", "rfc4180_cases"},
}

// TestEveryReferenceTableIsRead: a table that no test reads proves nothing. It counts what the tests'
// code names, not what their comments mention.
func TestEveryReferenceTableIsRead(t *testing.T) {
	named := literals(t)
	found := map[string]bool{}
	paths, err := filepath.Glob("../../testdata/reference/*.csv")
	require.NoError(t, err)
	for _, path := range paths {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		require.True(t, strings.HasPrefix(string(text), "#"), "%s begins with its source", path)
		name := filepath.Base(path)
		// The certified sets of NIST are read by their name within the list of certified values.
		set, isSet := strings.CutPrefix(name, "nist_")
		byList := isSet && named["nist_"] && named["nist_certified.csv"] && certifies(t, strings.TrimSuffix(set, ".csv"))
		require.True(t, named[name] || byList, "no test reads %s", path)
		found[strings.TrimSuffix(name, ".csv")] = true
	}
	for subject, names := range references {
		for _, name := range names {
			require.True(t, found[name], "%s: the table %s is gone", subject, name)
			delete(found, name)
		}
	}
	require.Empty(t, found, "say which subject these belong to")
}

// literals are the last elements of all strings in the code of all tests but this file.
func literals(t *testing.T) map[string]bool {
	t.Helper()
	named := map[string]bool{}
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") || strings.HasSuffix(path, "house_test.go") {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
				if text, err := strconv.Unquote(lit.Value); err == nil {
					named[text[strings.LastIndexByte(text, '/')+1:]] = true
				}
			}
			return true
		})
		return nil
	})
	require.NoError(t, err)
	return named
}

// certifies tells whether the list of certified values has rows of a set.
func certifies(t *testing.T, set string) bool {
	return slices.ContainsFunc(reference.Table(t, "nist_certified.csv"), func(r reference.Row) bool {
		return strings.EqualFold(r.Text("set"), set)
	})
}
