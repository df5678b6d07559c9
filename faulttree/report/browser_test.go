package report

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The page is opened and printed by a real browser, where one is installed.
func TestHTMLPrintsInABrowser(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil || testing.Short() {
		t.Skip("no chromium here, or -short")
	}
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed")
	}
	dir := t.TempDir()
	page, pdf := filepath.Join(dir, "visit.html"), filepath.Join(dir, "visit.pdf")
	r := sample(t, Metric)
	require.NoError(t, os.WriteFile(page, written(t, r.HTML), 0o600))
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	// Without its sandbox, which does not start in most containers: the page is our own.
	out, err := exec.CommandContext(ctx, browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
		"--user-data-dir="+filepath.Join(dir, "profile"), "--print-to-pdf="+pdf, "file://"+page).CombinedOutput()
	require.NoError(t, err, string(out))
	text, err := exec.Command(reader, "-layout", pdf, "-").Output()
	require.NoError(t, err)
	first, rest, _ := strings.Cut(string(text), "\f")
	for _, want := range []string{"Service report, visit 3", "It clatters all night", "Customer, date, signature"} {
		assert.True(t, strings.Contains(first, want), "page one: %s", want)
	}
	assert.False(t, strings.Contains(first, "Technical part"), "the technical part begins a new page")
	for _, want := range []string{"Technical part", "water height in m", "cable drop", "9f86d081884c7d65"} {
		assert.True(t, strings.Contains(rest, want), want)
	}
}
