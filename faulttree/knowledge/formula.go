package knowledge

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// Formula is a limit: numbers and site-sheet paths with + - * / and brackets, in SI.
type Formula struct {
	Text  string
	Paths []string
	root  node
}

// node is one part of a formula; ok is false where a path has no value or a divisor is zero.
type node func(look func(path string) (float64, bool)) (v float64, ok bool)

// ParseFormula reads a limit.
func ParseFormula(text string) (Formula, error) {
	if len(text) > 200 {
		return Formula{}, fmt.Errorf("formula of %d characters: 200 at most", len(text))
	}
	p := parser{text: text, f: Formula{Text: text}}
	root, err := p.sum(0)
	if err == nil && p.peek() != 0 {
		err = p.fail("an operator")
	}
	if err != nil {
		return Formula{}, err
	}
	p.f.root = root
	return p.f, nil
}

// Eval is the limit's value; ok is false where a fact is missing.
func (f Formula) Eval(look func(path string) (float64, bool)) (float64, bool) { return f.root(look) }

type parser struct {
	text string
	pos  int
	f    Formula
}

func (p *parser) peek() byte {
	for p.pos < len(p.text) && p.text[p.pos] == ' ' {
		p.pos++
	}
	if p.pos == len(p.text) {
		return 0
	}
	return p.text[p.pos]
}

func (p *parser) fail(want string) error {
	return fmt.Errorf("formula %q: %s is needed at character %d", p.text, want, p.pos+1)
}

const maxNesting = 20

func (p *parser) sum(depth int) (node, error) {
	left, err := p.product(depth)
	for err == nil && (p.peek() == '+' || p.peek() == '-') {
		op := p.text[p.pos]
		p.pos++
		var right node
		right, err = p.product(depth)
		left = binary(op, left, right)
	}
	return left, err
}

func (p *parser) product(depth int) (node, error) {
	left, err := p.atom(depth)
	for err == nil && (p.peek() == '*' || p.peek() == '/') {
		op := p.text[p.pos]
		p.pos++
		var right node
		right, err = p.atom(depth)
		left = binary(op, left, right)
	}
	return left, err
}

func binary(op byte, a, b node) node {
	return func(look func(string) (float64, bool)) (float64, bool) {
		x, ok1 := a(look)
		y, ok2 := b(look)
		switch op {
		case '+':
			x += y
		case '-':
			x -= y
		case '*':
			x *= y
		default:
			ok2 = ok2 && y != 0
			x /= y
		}
		return x, ok1 && ok2
	}
}

func (p *parser) atom(depth int) (node, error) {
	switch c := p.peek(); {
	case c == '(' && depth < maxNesting:
		p.pos++
		n, err := p.sum(depth + 1)
		if err == nil && p.peek() != ')' {
			err = p.fail("a closing bracket")
		}
		p.pos++
		return n, err
	case c >= '0' && c <= '9' || c == '.':
		return p.number()
	case unicode.IsLetter(rune(c)):
		return p.path(), nil
	}
	return nil, p.fail("a number, a path of the site sheet or a bracket")
}

func (p *parser) take(is func(byte) bool) string {
	from := p.pos
	for p.pos < len(p.text) && is(p.text[p.pos]) {
		p.pos++
	}
	return p.text[from:p.pos]
}

func (p *parser) number() (node, error) {
	word := p.take(func(c byte) bool { return c >= '0' && c <= '9' || c == '.' })
	v, err := strconv.ParseFloat(word, 64)
	if err != nil {
		return nil, p.fail("a number such as 0.92")
	}
	return func(func(string) (float64, bool)) (float64, bool) { return v, true }, nil
}

func (p *parser) path() node {
	name := p.take(func(c byte) bool { return c >= 'a' && c <= 'z' || c == '_' || c == '.' || c >= '0' && c <= '9' })
	if name == "" { // a letter that begins no path: let the caller stop here
		p.pos++
	}
	p.f.Paths = append(p.f.Paths, name)
	return func(look func(string) (float64, bool)) (float64, bool) { return look(name) }
}

// Plain tells whether a limit is a mere number.
func (f Formula) Plain() bool { return len(f.Paths) == 0 && !strings.ContainsAny(f.Text, "+-*/(") }
