package drill_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// replaced changes one piece of a text that must be there.
func replaced(t *testing.T, text, from, to string) string {
	t.Helper()
	if from == "" {
		return text
	}
	require.Contains(t, text, from)
	return strings.Replace(text, from, to, 1)
}
