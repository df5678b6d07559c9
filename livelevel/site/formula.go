package site

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/tankhand/livelevel/sheet"
)

// Formula is a limit written as arithmetic over paths of the sheet, in SI: 0.92*sensor.supply_voltage.
// It knows + - * /, brackets and the sign. Make one with ParseFormula.
type Formula struct {
	text  string
	root  term
	paths []string
}

// term is a node of a formula: the value with what a path gives.
type term func(at func(path string) float64) float64

const maxFormula = 200

// ParseFormula reads a formula; a plain number is one. Paths that no sheet has are an error.
func ParseFormula(text string) (Formula, error) {
	if len(text) > maxFormula {
		return Formula{}, fmt.Errorf("reading a formula: it is longer than %d characters", maxFormula)
	}
	p := formulaParser{rest: text}
	root, err := p.sum(0)
	if err == nil && p.peek() != 0 {
		err = fmt.Errorf("%q is left over", p.rest)
	}
	if err != nil {
		return Formula{}, fmt.Errorf("reading formula %q: %w", text, err)
	}
	return Formula{text: text, root: root, paths: p.paths}, nil
}

// String is the formula as it was written.
func (f Formula) String() string { return f.text }

// Paths lists what the formula needs of a sheet.
func (f Formula) Paths() []string { return f.paths }

// Eval computes the formula for a sheet. Where facts are unknown it says which, and the value means
// nothing. It may be infinite, where it divides by a fact that is zero.
func (f Formula) Eval(s *Sheet) (v float64, missing []string) {
	if f.root == nil {
		return 0, nil
	}
	v = f.root(func(path string) float64 {
		x, _, ok := s.Lookup(path)
		if !ok {
			missing = append(missing, path)
		}
		return x
	})
	return v, missing
}

// Origin is the weakest origin among the facts that the formula uses; a formula without paths is Given.
func (f Formula) Origin(s *Sheet) Origin {
	weakest := Measured
	if len(f.paths) == 0 {
		return Given
	}
	for _, path := range f.paths {
		_, o, _ := s.Lookup(path)
		weakest = min(weakest, o)
	}
	return weakest
}

type formulaParser struct {
	rest  string
	paths []string
}

// peek skips blanks and returns the next character, 0 at the end.
func (p *formulaParser) peek() byte {
	p.rest = strings.TrimLeft(p.rest, " ")
	if p.rest == "" {
		return 0
	}
	return p.rest[0]
}

func (p *formulaParser) take(c byte) bool {
	if p.peek() != c {
		return false
	}
	p.rest = p.rest[1:]
	return true
}

func (p *formulaParser) sum(depth int) (term, error) {
	left, err := p.product(depth)
	for err == nil {
		a := left
		var b term
		switch {
		case p.take('+'):
			b, err = p.product(depth)
			left = func(at func(string) float64) float64 { return a(at) + b(at) }
		case p.take('-'):
			b, err = p.product(depth)
			left = func(at func(string) float64) float64 { return a(at) - b(at) }
		default:
			return left, nil
		}
	}
	return nil, err
}

func (p *formulaParser) product(depth int) (term, error) {
	left, err := p.factor(depth)
	for err == nil {
		a := left
		var b term
		switch {
		case p.take('*'):
			b, err = p.factor(depth)
			left = func(at func(string) float64) float64 { return a(at) * b(at) }
		case p.take('/'):
			b, err = p.factor(depth)
			left = func(at func(string) float64) float64 { return a(at) / b(at) }
		default:
			return left, nil
		}
	}
	return nil, err
}

func (p *formulaParser) factor(depth int) (term, error) {
	c := p.peek()
	switch {
	case depth > 20:
		return nil, fmt.Errorf("too many brackets")
	case p.take('-'):
		a, err := p.factor(depth + 1)
		return func(at func(string) float64) float64 { return -a(at) }, err
	case p.take('('):
		a, err := p.sum(depth + 1)
		if err == nil && !p.take(')') {
			err = fmt.Errorf("a bracket is not closed")
		}
		return a, err
	case c == '.' || c >= '0' && c <= '9':
		return p.number()
	case c >= 'a' && c <= 'z':
		return p.path()
	case c == 0:
		return nil, fmt.Errorf("a number or a path is missing at the end")
	}
	return nil, fmt.Errorf("a number or a path is needed where %q stands", p.rest)
}

// span takes the leading characters that belong to the set.
func (p *formulaParser) span(belongs func(i int) bool) string {
	i := 0
	for i < len(p.rest) && belongs(i) {
		i++
	}
	word := p.rest[:i]
	p.rest = p.rest[i:]
	return word
}

func (p *formulaParser) number() (term, error) {
	word := p.span(func(i int) bool {
		c := p.rest[i]
		exponentSign := (c == '-' || c == '+') && i > 0 && (p.rest[i-1] == 'e' || p.rest[i-1] == 'E')
		return c >= '0' && c <= '9' || c == '.' || c == 'e' || c == 'E' || exponentSign
	})
	v, err := strconv.ParseFloat(word, 64)
	if err != nil {
		return nil, fmt.Errorf("%q is no number", word)
	}
	return func(func(string) float64) float64 { return v }, nil
}

func (p *formulaParser) path() (term, error) {
	path := p.span(func(i int) bool {
		c := p.rest[i]
		return c >= 'a' && c <= 'z' || c == '_' || c == '.'
	})
	if !KnownPath(path) {
		return nil, fmt.Errorf("%q is no quantity of a site sheet%s", path, didYouMean(path))
	}
	p.paths = append(p.paths, path)
	return func(at func(string) float64) float64 { return at(path) }, nil
}

func didYouMean(path string) string {
	if near := sheet.Nearest(path, Paths()); near != "" {
		return " (did you mean " + near + "?)"
	}
	return ""
}
