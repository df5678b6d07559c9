// Package dialect turns the lines of a controller's feed into readings, and works out a dialect
// never seen before.
package dialect

// Dialect says how lines become readings; it is what a dialect file holds.
type Dialect struct {
	Name      string
	Kind      string // text | csv | json | nmea
	Encoding  string // utf-8 | latin-1
	Decimal   string // "." | ","
	Separator string // csv only
	Header    bool   // csv only: the first line names the columns
	Block     Block
	Fields    []Field
	Restart   []string
}

// Block says how many lines make one report. The zero value is one line.
type Block struct {
	Lines      int    // so many lines; 0 and 1 both mean one
	EndsWith   string // "blank", or the words a closing line begins with
	BeginsWith string // the words the first line begins with
}

// Field is one column of a dialect.
type Field struct {
	Role string
	// At is where the value stands: in text the words before it or #n; in csv the header or #n; in json
	// the path a.b; in nmea SENTENCE/field or XDR:NAME.
	At   string
	Unit string
	Lost []string // what the controller sends when it heard no echo: numbers or words
	On   []string
	Off  []string
	// Optional fields may be missing from a report that is whole all the same.
	Optional bool
}

// Kinds of dialects.
const (
	Text = "text"
	CSV  = "csv"
	JSON = "json"
	NMEA = "nmea"
)

func (b Block) single() bool { return b.Lines <= 1 && b.EndsWith == "" && b.BeginsWith == "" }
