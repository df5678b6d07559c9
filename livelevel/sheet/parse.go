package sheet

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// Bounds of a document. The largest sheet of ours has 70 kB, 14,000 tokens and lines of 700 characters.
// The time of the YAML parser grows with the square of the keys of one map and of the length of a
// line, so these are bounded more tightly than the bytes: the worst file takes a few seconds.
const (
	MaxBytes  = 1 << 20
	maxTokens = 40_000
	maxLine   = 4096 // bytes
	maxDepth  = 48
	maxIndent = 400 // columns, outside braces: an upper bound of the block depth
)

// Parse reads one YAML document. The error, of type Problems, says that this is no YAML we read at
// all; every other mistake, keys given twice among them, is collected in the Doc: ask its Err last.
func Parse(name string, data []byte) (*Doc, error) {
	d := &Doc{Name: name}
	text, ok := d.clean(data)
	if !ok {
		return nil, d.Err()
	}
	tokens := lexer.Tokenize(text)
	if d.refuse(tokens); d.Err() != nil {
		return nil, d.Err()
	}
	file, err := d.tree(tokens)
	if err != nil {
		d.addSyntax(err)
		return nil, d.Err()
	}
	d.Root = d.root(file)
	return d, nil
}

// clean bounds the bytes and makes line ends plain; columns and lines stay what an editor shows.
func (d *Doc) clean(data []byte) (string, bool) {
	if len(data) > MaxBytes {
		d.Add(d.at(1, 1), "the file has %d bytes; a sheet may have %d", len(data), MaxBytes)
		return "", false
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	data = bytes.ReplaceAll(data, []byte("\r\n"), []byte("\n"))
	text := string(bytes.ReplaceAll(data, []byte("\r"), []byte("\n")))
	d.lines = strings.Split(text, "\n")
	for i, line := range d.lines {
		if len(line) > maxLine {
			d.Add(d.at(i+1, 1), "the line has %d bytes; a line may have %d: break it after a comma", len(line), maxLine)
			return "", false
		}
		if col, what := badCharacter(line); col > 0 {
			d.Add(d.at(i+1, col), "%s; save the file as UTF-8 text", what)
			return "", false
		}
	}
	return text, true
}

func badCharacter(line string) (column int, what string) {
	for i, r := range line {
		column++
		if r == utf8.RuneError && strings.IndexByte(line[i:], 0xef) != 0 {
			return column, fmt.Sprintf("byte 0x%02x is no UTF-8", line[i])
		}
		if unicode.IsControl(r) && r != '\t' {
			return column, fmt.Sprintf("control character U+%04X in the text", r)
		}
	}
	return 0, ""
}

var refused = map[token.Type]string{
	token.AnchorType:   "an anchor (&)",
	token.AliasType:    "an alias (*)",
	token.TagType:      "a tag (!)",
	token.MergeKeyType: "a merge key (<<)",
}

// refuse stops what could make the tree large or deep before it is built.
func (d *Doc) refuse(tokens token.Tokens) {
	if len(tokens) > maxTokens {
		d.Add(d.at(1, 1), "the file is too large: more than %d words and marks", maxTokens)
		return
	}
	depth, line := 0, 0
	for _, t := range tokens {
		p := d.at(t.Position.Line, t.Position.Column)
		switch t.Type {
		case token.SequenceStartType, token.MappingStartType:
			depth++
		case token.SequenceEndType, token.MappingEndType:
			depth--
		}
		if what, bad := refused[t.Type]; bad {
			d.Add(p, "%s is not used in sheets: write the value out, or put it in quotes if it is text", what)
		}
		opens := t.Type == token.SequenceEntryType || t.Type == token.MappingKeyType || p.Line != line
		if depth > maxDepth || depth <= 0 && opens && p.Column > maxIndent {
			d.Add(p, "nested too deep: more than %d levels", maxDepth)
			return
		}
		line = p.Line
	}
}

// tree runs the YAML parser; a panic in it is a file that we cannot read, not our end.
func (d *Doc) tree(tokens token.Tokens) (file *ast.File, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the YAML cannot be read: %v", r)
		}
	}()
	return parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
}

func (d *Doc) root(file *ast.File) *Node {
	var bodies []ast.Node
	for _, doc := range file.Docs {
		if _, directive := doc.Body.(*ast.DirectiveNode); doc.Body != nil && !directive {
			bodies = append(bodies, doc.Body)
		}
	}
	if len(bodies) > 1 {
		d.Add(d.place(bodies[1]), "a second document begins here; a sheet is one document")
	}
	if len(bodies) == 0 {
		return &Node{doc: d, Place: d.at(1, 1)}
	}
	return d.node(bodies[0], 0)
}
