package circuit

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// row is one row of a reference table.
type row struct {
	t *testing.T
	m map[string]string
}

func (r row) f(name string) float64 {
	v, err := strconv.ParseFloat(r.m[name], 64)
	require.NoError(r.t, err, name)
	return v
}

func reference(t *testing.T, name string) []row {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "reference", name))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 1)
	var out []row
	for _, cells := range rows[1:] {
		m := map[string]string{}
		for i, v := range cells {
			m[rows[0][i]] = v
		}
		out = append(out, row{t, m})
	}
	return out
}
