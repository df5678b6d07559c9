package command

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDrafts(t *testing.T) {
	p := &Program{data: filepath.Join(t.TempDir(), "a [strange] folder")}
	d := p.draftFor("v1")
	require.Empty(t, d.Draft())
	require.NoError(t, d.KeepDraft(1, "the ca"))
	require.NoError(t, d.KeepDraft(3, "the cable of T. Hand"))
	require.NoError(t, d.KeepDraft(2, "the cab"), "overtaken: the newer one stays")
	assert.Equal(t, "the cable of T. Hand", p.draftFor("v1").Draft())
	info, err := os.Stat(d.path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())

	other := p.draftFor("v2")
	require.NoError(t, other.KeepDraft(1, "of nobody"))
	require.NoError(t, p.forgetDrafts("", "t. hand"), "a person is erased")
	assert.Empty(t, p.draftFor("v1").Draft())
	assert.Equal(t, "of nobody", p.draftFor("v2").Draft())
	require.NoError(t, p.forgetDrafts("v2", ""), "a visit is erased")
	assert.Empty(t, p.draftFor("v2").Draft())
	require.NoError(t, p.draftFor("v2").KeepDraft(1, ""), "nothing to forget")
}

// A visit's id comes out of the store, and a store may come from a stranger.
func TestADraftStaysInItsFolder(t *testing.T) {
	p := &Program{data: t.TempDir()}
	assert.Equal(t, filepath.Join(p.data, "drafts", "passwd.txt"), p.draftFor("../../etc/passwd").path)
	require.NoError(t, (&draft{}).KeepDraft(1, "where no record is kept"))
}
