package command

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/rig"
	"example.org/tankhand/tui/start"
)

const smallSheet = "sheet: tankhand/site/1\nsite: Quarry Lane glasshouse\nasset: HT-2\ntank: {shape: vertical cylinder, diameter: 1.10 m, height: 1.60 m}\nsensor: {face_height: 1.75 m}\n"

// Every complaint has a practice fault that the rig knows.
func TestPracticeForEveryComplaint(t *testing.T) {
	base, err := loadKnowledge()
	require.NoError(t, err)
	items := practiceItems(base)
	require.Len(t, items, 1+len(base.Complaints))
	seen := map[string]bool{}
	for _, f := range practiceFaults {
		_, err := rig.ParseFault(f.fault)
		require.NoError(t, err)
		seen[f.complaint] = true
	}
	for _, c := range base.Complaints {
		require.True(t, seen[c.ID], c.ID)
	}
}

func TestSheetsThatAreKnown(t *testing.T) {
	config := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", config)
	t.Chdir(t.TempDir())
	path, err := keepSheet("HT-2", smallSheet)
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(config, "tankhand", "sites", "ht-2.yaml"), path)
	again, err := keepSheet("HT-2", smallSheet)
	require.NoError(t, err)
	assert.NotEqual(t, path, again, "no sheet is written over another")
	third, err := keepSheet("HT-2", smallSheet)
	require.NoError(t, err)
	assert.NotEqual(t, again, third)
	require.NoError(t, os.WriteFile("wrong.yaml", []byte("sheet: tankhand/site/1\ntank: {shape: egg}\n"), 0o600))
	require.NoError(t, os.WriteFile("other.yaml", []byte("a: b\n"), 0o600))

	p := &Program{data: t.TempDir()}
	known := p.knownSheets(context.Background())
	require.Len(t, known, 2)
	assert.Equal(t, "Quarry Lane glasshouse / HT-2", known[0].Name)
	assert.Contains(t, known[1].What, "has mistakes")
}

// A visit stands on the start screen with its site; its sheet is offered for other feeds.
func TestVisitsComeBackOnTheStartScreen(t *testing.T) {
	t.Chdir(t.TempDir())
	data := t.TempDir()
	sheet := filepath.Join(data, "site.yaml")
	require.NoError(t, os.WriteFile(sheet, []byte(smallSheet), 0o600))
	log := filepath.Join(data, "night.log")
	require.NoError(t, os.WriteFile(log, []byte(strings.Repeat("dist=43.2 lvl=67 p=1\n", 200)), 0o600))
	p := &Program{data: data}
	ctx := context.Background()
	first, err := p.benchOn(ctx, &source{file: log, sheetPath: sheet}, "no-echo", "", "")
	require.NoError(t, err)
	require.NoError(t, first.Close())

	base, err := loadKnowledge()
	require.NoError(t, err)
	var open start.Item
	for _, it := range p.startItems(ctx, base) {
		if it.Kind == "Visits still open" {
			open = it
		}
	}
	require.Equal(t, "visit 1  HT-2", open.Name)
	require.Contains(t, open.What, "Quarry Lane glasshouse")
	require.Contains(t, open.What, log)
	require.Empty(t, open.Warning, "a log switches no pump")
	known := p.knownSheets(ctx)
	require.Len(t, known, 1)
	require.Equal(t, smallSheet, known[0].Text)

	s, err := p.openItem(ctx, open)
	require.NoError(t, err)
	require.NoError(t, s.Close())
	list, err := book{p}.List(ctx)
	require.NoError(t, err)
	require.Len(t, list, 1, "the visit goes on, no second one is begun")
}

func TestAnEmptyRecordIsNoTrouble(t *testing.T) {
	p := &Program{data: t.TempDir()}
	list, err := book{p}.List(context.Background())
	require.NoError(t, err)
	require.Empty(t, list)
}
