package sheet

import (
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// node turns the parser's tree into ours, which keeps texts as written and has no other shapes than
// scalar, map and list.
func (d *Doc) node(n ast.Node, depth int) *Node {
	out := &Node{doc: d, Place: d.place(n)}
	if depth > maxDepth {
		d.Add(out.Place, "nested too deep: more than %d levels", maxDepth)
		return out
	}
	switch v := n.(type) {
	case nil, *ast.NullNode:
	case *ast.MappingNode:
		out.Kind = Mapping
		d.entries(out, v.Values, depth)
	case *ast.MappingValueNode:
		out.Kind = Mapping
		d.entries(out, []*ast.MappingValueNode{v}, depth)
	case *ast.SequenceNode:
		out.Kind = List
		for _, item := range v.Values {
			out.items = append(out.items, d.node(item, depth+1))
		}
	case *ast.LiteralNode:
		out.Kind, out.Quoted, out.text = Scalar, true, v.Value.Value
	case ast.ScalarNode:
		t := v.GetToken()
		out.Kind, out.text = Scalar, t.Value
		out.Quoted = t.Type == token.SingleQuoteType || t.Type == token.DoubleQuoteType
	default:
		d.Add(out.Place, "this form of YAML (%s) is not used in sheets", n.Type())
	}
	return out
}

func (d *Doc) entries(out *Node, values []*ast.MappingValueNode, depth int) {
	seen := make(map[string]Place, len(values))
	for _, v := range values {
		place := d.place(v.Key)
		key := d.node(v.Key, depth+1)
		if key.Kind != Scalar {
			d.Add(place, "a key must be a single word or text")
			continue
		}
		value := d.node(v.Value, depth+1)
		if value.Kind == Empty {
			value.Place = place
		}
		if before, twice := seen[key.text]; twice {
			d.Add(place, "key %q is given twice: it already stands in line %d; keep one of them", key.text, before.Line)
			continue
		}
		seen[key.text] = place
		out.entries = append(out.entries, Entry{Key: key.text, Place: place, Value: value})
	}
}

// place is where a node begins; the parser places a block map at its first colon.
func (d *Doc) place(n ast.Node) Place {
	switch v := n.(type) {
	case *ast.MappingNode:
		if !v.IsFlowStyle && len(v.Values) > 0 {
			return d.place(v.Values[0])
		}
	case *ast.MappingValueNode:
		return d.place(v.Key)
	}
	if n == nil || n.GetToken() == nil || n.GetToken().Position == nil {
		return d.at(1, 1)
	}
	p := n.GetToken().Position
	return d.at(p.Line, p.Column)
}

func (d *Doc) at(line, column int) Place { return Place{File: d.Name, Line: line, Column: column} }
