// Package sheet decodes YAML with places: strictly, with every mistake reported at once by file,
// line and column, an excerpt and what would be right.
//
// A file is parsed once; its values are then asked for by key. Whatever is asked for in vain, and
// whatever nobody asked for, is collected as a problem of the document:
//
//	doc, err := sheet.Parse("tank.yaml", data)
//	if err != nil {
//		return err // the YAML itself does not parse: one problem
//	}
//	m := doc.Map()
//	m.Need("title")
//	title := m.Text("title")
//	usual := m.Floats("usual")
//	m.Done() // unknown keys
//	return doc.Err() // all problems, in the order of the file
//
// Scalars stay the text that was written: an id of 012 is "012", and yes is "yes" until it is asked
// for as a flag. Anchors, aliases, tags and merge keys are refused, and size and depth are bounded,
// because sheets also come from other people.
package sheet

import "fmt"

// Place is where in a file something stands; Line and Column count from one, columns in characters.
type Place struct {
	File         string
	Line, Column int
}

// String is FILE:LINE:COLUMN.
func (p Place) String() string { return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column) }

// Doc is a parsed document, and the collector of what is wrong with it.
type Doc struct {
	Name     string
	Root     *Node
	lines    []string
	problems []Problem
	dropped  int
}

// Kind is what a node is.
type Kind uint8

// The kinds. Empty is a key without value, null or ~.
const (
	Empty Kind = iota
	Scalar
	Mapping
	List
)

var kindNames = [...]string{"nothing", "a single value", "a map of keys", "a list"}

// String is the kind as an error message names it.
func (k Kind) String() string { return kindNames[k] }

// Node is one value of a document with its place.
type Node struct {
	Place  Place
	Kind   Kind
	Quoted bool // a scalar written in quotes or as a block

	doc     *Doc
	text    string
	entries []Entry
	items   []*Node
}

// Entry is one key of a map with its value, in file order.
type Entry struct {
	Key   string
	Place Place
	Value *Node
}
