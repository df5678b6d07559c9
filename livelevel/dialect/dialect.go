// Package dialect turns the lines of a controller's feed into readings, and works out a dialect
// never seen before.
package dialect

// Dialect says how lines become readings; it is what a dialect file holds.
type Dialect struct {
	Name      string   `json:"name"`
	Kind      string   `json:"kind"`                // text | csv | json | nmea
	Encoding  string   `json:"encoding"`            // utf-8 | latin-1
	Decimal   string   `json:"decimal"`             // "." | ","
	Separator string   `json:"separator,omitempty"` // csv only
	Header    bool     `json:"header,omitempty"`    // csv only: the first line names the columns
	Block     Block    `json:"block,omitzero"`
	Fields    []Field  `json:"fields"`
	Restart   []string `json:"restart,omitempty"`
}

// Block says how many lines make one report. The zero value is one line.
type Block struct {
	Lines      int    `json:"lines,omitempty"`       // so many lines; 0 and 1 both mean one
	EndsWith   string `json:"ends_with,omitempty"`   // "blank", or the words a closing line begins with
	BeginsWith string `json:"begins_with,omitempty"` // the words the first line begins with
}

// Field is one column of a dialect.
type Field struct {
	Role string `json:"role"`
	// At is where the value stands: in text the words before it or #n; in csv the header or #n; in json
	// the path a.b; in nmea SENTENCE/field or XDR:NAME.
	At   string   `json:"at"`
	Unit string   `json:"unit,omitempty"`
	Lost []string `json:"lost,omitempty"` // what the controller sends when it heard no echo: numbers or words
	On   []string `json:"on,omitempty"`
	Off  []string `json:"off,omitempty"`
	// Column is the place of a csv field, from 1, used until the header was seen; 0: only the header tells.
	Column int `json:"column,omitempty"`
	// Optional fields may be missing from a report that is whole all the same.
	Optional bool `json:"optional,omitempty"`
}

// Kinds of dialects.
const (
	Text = "text"
	CSV  = "csv"
	JSON = "json"
	NMEA = "nmea"
)

func (b Block) single() bool { return b.Lines <= 1 && b.EndsWith == "" && b.BeginsWith == "" }
