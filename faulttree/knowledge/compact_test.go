package knowledge

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/testdata/golden"
)

func TestCompactMatchesYAML(t *testing.T) {
	base, _, err := LintAll(nil, "")
	require.NoError(t, err)
	data, err := json.MarshalIndent(base, "", " ")
	require.NoError(t, err)
	if *golden.Update {
		golden.Write(t, "shipped.json", string(data))
		return
	}
	got, err := Load("")
	require.NoError(t, err)
	assert.Equal(t, base, got, "shipped.json is older than the YAML: run the test with -update")
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		_, err := Load("")
		require.NoError(b, err)
	}
}

func BenchmarkLoadYAML(b *testing.B) {
	for b.Loop() {
		_, _, err := LintAll(nil, "")
		require.NoError(b, err)
	}
}
