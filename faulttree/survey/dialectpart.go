package survey

import "example.org/tankhand/livelevel/dialect"

// dialectPart is the dialect in force, as a dialect file would hold it.
type dialectPart struct {
	Schema string `json:"dialect"`
	dialect.Dialect
}

func dialectOf(d dialect.Dialect) dialectPart { return dialectPart{dialect.Schema, d} }
