// Package sheet decodes YAML with places: strictly, with every mistake reported at once by file,
// line and column.
package sheet

import "fmt"

// Place is where in a file something stands; Line and Column count from one.
type Place struct {
	File         string
	Line, Column int
}

func (p Place) String() string { return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column) }
