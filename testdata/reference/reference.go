// Package reference holds the tables of published values, standards and worked examples that the tests
// are checked against, and reads them. The first line of each table names its source. Only tests
// import it; `go test ./...` passes over a folder of this name, so its users are its test.
package reference

import (
	"embed"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

//go:embed *.csv
var tables embed.FS

// Row is one row of a table. A column that the table does not have, or a cell that is no number where
// one is asked for, fails the test.
type Row struct {
	t              testing.TB
	place          string
	columns, cells []string
}

// Table reads the rows of a table by its file name.
func Table(t testing.TB, name string) []Row {
	t.Helper()
	f, err := tables.Open(name)
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	header, err := r.Read()
	require.NoError(t, err, name)
	records, err := r.ReadAll()
	require.NoError(t, err, name)
	require.NotEmpty(t, records, name)
	rows := make([]Row, len(records))
	for i, cells := range records {
		rows[i] = Row{t, fmt.Sprintf("%s row %d", name, i+1), header, cells}
	}
	return rows
}

// Column reads one column of a table as numbers.
func Column(t testing.TB, name, column string) []float64 {
	t.Helper()
	var out []float64
	for _, r := range Table(t, name) {
		out = append(out, r.Number(column))
	}
	return out
}

// Text is a cell as it stands.
func (r Row) Text(column string) string {
	r.t.Helper()
	i := slices.Index(r.columns, column)
	require.GreaterOrEqual(r.t, i, 0, "%s has no column %s", r.place, column)
	return r.cells[i]
}

// Number is a cell as a number; an empty one is NaN.
func (r Row) Number(column string) float64 {
	r.t.Helper()
	text := r.Text(column)
	if text == "" {
		return math.NaN()
	}
	return r.parse(text)
}

// Numbers is a cell of the shape "D_m=1.5;L_m=3.0".
func (r Row) Numbers(column string) map[string]float64 {
	r.t.Helper()
	out := map[string]float64{}
	for part := range strings.SplitSeq(r.Text(column), ";") {
		if name, value, ok := strings.Cut(part, "="); ok {
			out[name] = r.parse(value)
		}
	}
	return out
}

func (r Row) parse(text string) float64 {
	r.t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	require.NoError(r.t, err, r.place)
	return v
}

// String is the row with its place, for the message of a test that fails.
func (r Row) String() string {
	var b strings.Builder
	b.WriteString(r.place)
	for i, column := range r.columns {
		fmt.Fprintf(&b, " %s=%s", column, r.cells[i])
	}
	return b.String()
}
