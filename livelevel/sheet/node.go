package sheet

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// Problem collects a mistake at this value's place.
func (n *Node) Problem(format string, args ...any) { n.doc.Add(n.Place, format, args...) }

// want reports a value of the wrong kind.
func (n *Node) want(what string) {
	got := n.Kind.String()
	if n.Kind == Scalar {
		got = strconv.Quote(short(n.text))
	}
	n.Problem("%s is needed here, not %s", what, got)
}

// Text is a scalar as it was written. An Empty node gives "" and no problem.
func (n *Node) Text() string {
	switch n.Kind {
	case Scalar:
		return n.text
	case Empty:
		return ""
	}
	n.want("a text")
	return ""
}

// Word is a scalar that must be one of the allowed; "" when it is not.
func (n *Node) Word(allowed ...string) string {
	if n.Kind == Scalar {
		for _, a := range allowed {
			if n.text == a {
				return a
			}
		}
	}
	what := "one of " + strings.Join(allowed, ", ")
	if near := Nearest(n.text, allowed); near != "" {
		what += " (did you mean " + near + "?)"
	}
	n.want(what)
	return ""
}

// Float is a finite number without unit; 0 and a problem when it is none.
func (n *Node) Float() float64 {
	v, ok := n.float()
	if !ok {
		n.want("a number")
	}
	return v
}

func (n *Node) float() (float64, bool) {
	if n.Kind != Scalar || strings.ContainsAny(n.text, "_xXpPnN") {
		return 0, false
	}
	v, err := strconv.ParseFloat(n.text, 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, false
	}
	return v, true
}

// IsFloat tells whether the node is a number; texts and numbers may stand side by side in a list.
func (n *Node) IsFloat() bool { _, ok := n.float(); return ok && !n.Quoted }

// Int is a whole number; 0 and a problem when it is none.
func (n *Node) Int() int {
	if n.Kind == Scalar {
		if v, err := strconv.Atoi(n.text); err == nil {
			return v
		}
	}
	n.want("a whole number")
	return 0
}

// Bool is yes or no (or true or false).
func (n *Node) Bool() bool {
	if n.Kind == Scalar {
		switch n.text {
		case "yes", "true":
			return true
		case "no", "false":
			return false
		}
	}
	n.want("yes or no")
	return false
}

// Duration is a time such as 60s, 5m, 24h, with a space allowed before the unit.
func (n *Node) Duration() time.Duration {
	if n.Kind == Scalar {
		if v, err := time.ParseDuration(strings.ReplaceAll(n.text, " ", "")); err == nil && v >= 0 {
			return v
		}
	}
	n.want("a time such as 60s, 5m or 24h")
	return 0
}

// Items are the nodes of a list.
func (n *Node) Items() []*Node {
	if n.Kind != List {
		n.want("a list [..]")
	}
	return n.items
}

// Texts is a list of texts.
func (n *Node) Texts() []string {
	var out []string
	for _, item := range n.Items() {
		if item.Kind != Scalar {
			item.want("a text")
		}
		out = append(out, item.text)
	}
	return out
}

// Floats is a list of numbers.
func (n *Node) Floats() []float64 {
	var out []float64
	for _, item := range n.Items() {
		out = append(out, item.Float())
	}
	return out
}

// Map is the node as a map of keys; an empty map and a problem when it is none.
func (n *Node) Map() *Map {
	m := &Map{doc: n.doc, Place: n.Place}
	if n.Kind != Mapping {
		n.want("a map of keys")
		return m
	}
	m.entries = n.entries
	m.used = make([]bool, len(n.entries))
	return m
}

// Maps is a list of maps.
func (n *Node) Maps() []*Map {
	var out []*Map
	for _, item := range n.Items() {
		out = append(out, item.Map())
	}
	return out
}

func short(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}
