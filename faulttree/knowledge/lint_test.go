package knowledge

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What the linter still says of the shipped knowledge, each looked at: a leak is proven by its own proof
// (the reading was right), the pair has the same remedy family.
func TestShippedKnowledgeIsClean(t *testing.T) {
	base, warnings, err := LintAll(nil, "")
	require.NoError(t, err)
	for _, w := range warnings {
		t.Log(w)
	}
	require.Len(t, warnings, 2)
	assert.Contains(t, strings.Join(warnings, "\n"), "hyst-small and waves are near twins")
	assert.Contains(t, strings.Join(warnings, "\n"), "wrong-reading: the proof dip-check passes uncured")
	assert.Len(t, base.Complaints, 8)
	for id, c := range base.Causes {
		assert.Regexp(t, `^[A-Z].+\. .+\. It is mended when .+\.$`, c.About, "%s: three plain sentences", id)
	}
	for i, c := range base.Complaints {
		assert.Equal(t, Order[i], c.ID)
		total := c.Unlisted
		for _, p := range c.Priors {
			total += p
		}
		assert.InDelta(t, 1, total, 1e-9)
	}
}

// lintWith reads the shipped probes and causes with a firm's own file beside them.
func lintWith(t *testing.T, name, text string) string {
	_, _, err := LintAll(fstest.MapFS{name: {Data: []byte(text)}}, "firm")
	if err == nil {
		return ""
	}
	return err.Error()
}

const goodProbe = `my-look: {kind: looked, ask: "Look", minutes: 1, hazards: [], answers: ["no", "yes"], usual: [0.9, 0.1]}`

func TestLintRefuses(t *testing.T) {
	assert.Empty(t, lintWith(t, "probes.yaml", goodProbe))
	probe := func(from, to string) string {
		require.Contains(t, goodProbe, from)
		return strings.Replace(goodProbe, from, to, 1)
	}
	for _, c := range []struct{ name, file, text, want string }{
		{"row sum", "probes.yaml", probe("[0.9, 0.1]", "[0.9, 0.2]"), "sums to 1.1"},
		{"zero", "probes.yaml", probe("[0.9, 0.1]", "[1, 0]"), "above zero"},
		{"length", "probes.yaml", probe("[0.9, 0.1]", "[0.9, 0.05, 0.05]"), "3 entries for 2 answers"},
		{"hazard", "probes.yaml", probe("hazards: []", "hazards: [fire]"), `"fire" is not known`},
		{"need", "probes.yaml", probe("hazards: []", "hazards: [], needs: [crane]"), `"crane" is not known`},
		{"key", "probes.yaml", probe("hazards: []", "hazrds: []"), `did you mean hazards`},
		{"kind", "probes.yaml", probe("looked", "loked"), "did you mean looked"},
		{"watch words", "probes.yaml", probe("kind: looked", "kind: watch, from: echo-dropouts.amount"), "few, some, nearly-all"},
		{"no such check", "probes.yaml", probe("kind: looked", "kind: watch, from: nothing.at-all"), "no check grades"},
		{"limits", "probes.yaml", probe("kind: looked", "kind: measured, bands: [0.5*relay.coil_volts]"), "relay.coil_volts"},
		{"formula", "probes.yaml", probe("kind: looked", "kind: measured, bands: [2*]"), "formula"},
		{"running without caution", "probes.yaml", probe("hazards: []", "hazards: [running-pump]"), "needs a caution"},
		{"running and held", "probes.yaml", probe("hazards: []", `hazards: [running-pump], caution: "c", needs: [pump-held]`), "both running and held"},
		{"isolated without mains-dead", "probes.yaml", probe("hazards: []", "hazards: [], needs: [isolated]"), "mains-dead is missing"},
		{"top without height", "probes.yaml", probe("hazards: []", "hazards: [], needs: [top]"), "height is missing"},
		{"row of an unknown cause", "probes.yaml", probe("hazards: []", "hazards: [], rows: {ghosts: [0.5, 0.5]}"), `no cause "ghosts"`},
		{"id", "probes.yaml", "My_Look" + strings.TrimPrefix(goodProbe, "my-look"), "is no id"},
		{"proof", "causes.yaml", `x: {title: t, remedy: r, minutes: 5, hazards: [], proof: {probe: sensor-face, want: shiny}}`, `"shiny" is no answer`},
		{"proof probe", "causes.yaml", `x: {title: t, remedy: r, minutes: 5, hazards: [], proof: {probe: nothing, want: dry}}`, `no probe "nothing"`},
		{"works", "causes.yaml", `x: {title: t, remedy: r, minutes: 5, works: 1.5, hazards: [], proof: {probe: sensor-face, want: dry and clean}}`, "at most 1, not 1.5"},
		{"weight zero", "mine.yaml", complaint("priors: {face-wet: 0, tilt: 1}"), "above zero"},
		{"proof that passes uncured", "mine.yaml", complaint("priors: {source-empty: 1, tilt: 1}\nusual: {fill-rise: [0.03, 0.05, 0.12, 0.8]}\nrows: {fill-rise: {source-empty: [0.1, 0.1, 0.1, 0.7]}}"), "while the cause is still there"},
		{"file name", "other.yaml", complaint("priors: {face-wet: 1, tilt: 1}"), "must be \"other\""},
		{"no YAML", "probes.yaml", "a: [", "no YAML"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := lintWith(t, c.file, c.text)
			assert.Contains(t, got, c.want)
			assert.Regexp(t, `^firm/[a-z]+\.yaml:\d+:\d+: `, got, "file, line and column")
		})
	}
}

func complaint(rest string) string {
	return "complaint: mine\ntitle: Mine\nopening: It is bad.\nunlisted: 0.05\nproof: {probe: fill-rise, want: as-expected}\nprobes: [fill-rise, sensor-face, sensor-seat]\n" + rest + "\n"
}

func TestFirmMergesOver(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "mine.yaml"), []byte(complaint("priors: {face-wet: 1, tilt: 3}")), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "probes.yaml"), []byte(goodProbe), 0o600))
	base, err := Load(dir)
	require.NoError(t, err)
	assert.Len(t, base.Complaints, 9)
	mine := base.Complaints[8]
	assert.InDelta(t, .75*.95, mine.Priors["tilt"], 1e-12)
	assert.Contains(t, base.Probes, "my-look")
	shipped, err := Load("")
	require.NoError(t, err)
	assert.NotEqual(t, shipped.Hash, base.Hash)
	none, err := Load(filepath.Join(dir, "not-there"))
	require.NoError(t, err)
	assert.Equal(t, shipped.Hash, none.Hash)
}

func TestLintOfAFolder(t *testing.T) {
	_, err := Lint(filepath.Join(t.TempDir(), "not-there"))
	assert.ErrorContains(t, err, "not-there")
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "probes.yaml"), []byte(goodProbe), 0o600))
	warnings, err := Lint(dir)
	require.NoError(t, err)
	assert.Contains(t, strings.Join(warnings, "\n"), "my-look is asked in no complaint")
}

// A firm adds a cause of its own to a shipped complaint: the cause, its rows on shipped probes, its weight.
func TestFirmAddsACause(t *testing.T) {
	firm := fstest.MapFS{
		"causes.yaml":  {Data: []byte(`bat-in-tank: {title: Bat in the tank, remedy: "Let it out.", minutes: 5, hazards: [height], proof: {probe: sensor-face, want: dry and clean}}`)},
		"probes.yaml":  {Data: []byte("sensor-face: {rows: {bat-in-tank: [0.05, 0.05, 0.9]}}\n" + goodProbe)},
		"no-echo.yaml": {Data: []byte("complaint: no-echo\npriors: {bat-in-tank: 0.02}\nprobes: [my-look]\n")},
	}
	base, _, err := LintAll(firm, "firm")
	require.NoError(t, err)
	shipped, err := Load("")
	require.NoError(t, err)
	was, is := shipped.Complaints[0], base.Complaints[0]
	assert.Equal(t, append(was.Causes, "bat-in-tank"), is.Causes)
	assert.Equal(t, append(was.Probes, "my-look"), is.Probes)
	assert.Equal(t, was.Title, is.Title)
	assert.InDelta(t, .9, base.Probes["sensor-face"].Rows["bat-in-tank"][2], 1e-12)
	assert.Equal(t, shipped.Probes["sensor-face"].Rows["face-wet"], base.Probes["sensor-face"].Rows["face-wet"])
}
