// Package dialect turns the lines of a controller's feed into readings, and works out a dialect
// never seen before.
package dialect

// Dialect says how lines become readings; it is what a dialect file holds (CONTRACT: Dialect).
type Dialect struct {
	Name      string
	Kind      string // text | csv | json | nmea
	Encoding  string
	Decimal   string
	Separator string
	Header    bool
	Fields    []Field
	Restart   []string
}

// Field is one column of a dialect.
type Field struct {
	Role string
	At   string
	Unit string
	Lost []string
	On   []string
	Off  []string
}
