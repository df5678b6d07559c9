package quantity

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

const maxText = 80

// Parse reads a quantity of the dimension: a number with its unit, and perhaps how far off it may
// be: "1.75 m ± 5 mm", "14 1/2 in", "5 ft 3 in", "2.3 m3/h ± 10 %", "24 ± 2 degC", "20 AWG". ± may be
// written +/- or +-. A number without unit is refused unless the dimension is Number.
func Parse(s string, dim Dim) (Quantity, error) {
	return parse(s, dim, Unit{}, false)
}

// ParseAny reads what a person types for a reading whose unit is expected to be def: "4.1" is taken
// in that unit, "4100 mV" is converted, "4.1 A" for volts is an error. With def "" the unit must be
// given, and may be of any dimension.
func ParseAny(s, def string) (Quantity, error) {
	if def != "" {
		u, ok := FindUnit(def)
		if !ok {
			return Quantity{}, fmt.Errorf("reading %q: unknown unit %q is expected here", shown(s), def)
		}
		return parse(s, u.Dim, u, true)
	}
	p := parser{rest: tidy(s)}
	if _, err := p.number(); err != nil {
		return Quantity{}, fmt.Errorf("reading %q: %w", shown(s), err)
	}
	symbol := p.symbol()
	u, ok := FindUnit(symbol)
	if !ok {
		return Quantity{}, fmt.Errorf("reading %q: unknown unit %q", shown(s), symbol)
	}
	return Parse(s, u.Dim)
}

// ParseTyped reads like ParseAny what a person types at a meter, where the comma is a decimal one in half of the world.
// Before three digits it might as well stand between thousands; that is an error.
func ParseTyped(s, def string) (Quantity, error) {
	return ParseAny(decimalComma.ReplaceAllString(s, "$1.$2$3"), def)
}

// decimalComma is a comma that can only be a decimal one.
var decimalComma = regexp.MustCompile(`^(\s*[-+]?\d+),(\d{1,2}|\d{4,})(\D*)$`)

func parse(s string, dim Dim, def Unit, hasDef bool) (Quantity, error) {
	p := parser{rest: tidy(s), dim: dim, def: def, hasDef: hasDef}
	q, err := p.quantity()
	if err != nil {
		return Quantity{}, fmt.Errorf("reading %q as a %s: %w", shown(s), dim, err)
	}
	return q, nil
}

func shown(s string) string {
	if r := []rune(s); len(r) > maxText {
		return string(r[:maxText]) + "..."
	}
	return s
}

// tidy writes the minus sign of typesetters as the keyboard's.
func tidy(s string) string { return strings.ReplaceAll(strings.TrimSpace(s), "\u2212", "-") }

type parser struct {
	rest   string
	dim    Dim
	def    Unit
	hasDef bool
}

func (p *parser) quantity() (Quantity, error) {
	if len(p.rest) > 2*maxText {
		return Quantity{}, fmt.Errorf("too long for a quantity")
	}
	value, spread, stated := cutPlusMinus(p.rest)
	p.rest = value
	first, err := p.number()
	if err != nil {
		return Quantity{}, err
	}
	symbol := p.symbol()
	if stated && symbol == "" {
		return p.shared(first, spread)
	}
	u, err := p.unit(symbol, first)
	if err != nil {
		return Quantity{}, err
	}
	q := Quantity{V: u.SI(first), Dim: p.dim}
	if q.V, err = p.more(q.V, u); err != nil {
		return Quantity{}, err
	}
	if stated {
		if q, err = p.spread(q, spread, u); err != nil {
			return Quantity{}, err
		}
	}
	return q, check(q)
}

func check(q Quantity) error {
	if math.IsNaN(q.V) || math.IsInf(q.V, 0) || math.IsInf(q.U, 0) {
		return fmt.Errorf("the number is too large")
	}
	return nil
}

// more reads the parts after the first: the inches of 5 ft 3 in, the seconds of 1 min 30 s.
func (p *parser) more(sum float64, last Unit) (float64, error) {
	for p.rest != "" {
		v, err := p.number()
		if err != nil {
			return 0, err
		}
		u, err := p.unit(p.symbol(), v)
		if err != nil {
			return 0, err
		}
		if p.dim != Length && p.dim != Time || u.Diff(1) >= last.Diff(1) || sum < 0 || v < 0 {
			return 0, fmt.Errorf("one number with one unit is needed")
		}
		sum, last = sum+u.SI(v), u
	}
	return sum, nil
}

// shared reads 24 ± 2 degC, where one unit serves both numbers.
func (p *parser) shared(v float64, spread string) (Quantity, error) {
	p.rest = spread
	half, err := p.number()
	if err != nil {
		return Quantity{}, err
	}
	u, err := p.unit(p.symbol(), v)
	if err != nil {
		return Quantity{}, err
	}
	if p.rest != "" || half < 0 {
		return Quantity{}, fmt.Errorf("after ± one positive number with one unit is needed")
	}
	q := Quantity{V: u.SI(v), Dim: p.dim}.Within(u.Diff(half))
	return q, check(q)
}

func (p *parser) spread(q Quantity, spread string, u Unit) (Quantity, error) {
	p.rest = spread
	half, err := p.number()
	if err != nil {
		return q, err
	}
	symbol := p.symbol()
	if p.rest != "" || half < 0 {
		return q, fmt.Errorf("after ± one positive number with one unit is needed")
	}
	if symbol == "%" && p.dim != Ratio {
		if p.dim == Temperature {
			return q, fmt.Errorf("a temperature is not uncertain by percents: write ± 2 K")
		}
		return q.Within(q.V * half / 100), nil
	}
	if symbol == "" {
		return q.Within(u.Diff(half)), nil
	}
	if u, err = p.unit(symbol, half); err != nil {
		return q, err
	}
	return q.Within(u.Diff(half)), nil
}

func (p *parser) unit(symbol string, v float64) (Unit, error) {
	if symbol == "" && p.hasDef {
		return p.def, nil
	}
	if u, ok := FindUnitOf(p.dim, symbol); ok {
		return u, nil
	}
	if symbol == "" {
		return Unit{}, fmt.Errorf("it has no unit: write it in %s", symbols(p.dim))
	}
	if u, ok := FindUnit(symbol); ok {
		return Unit{}, fmt.Errorf("%s is a unit of %s: write it in %s", u.Symbol, u.Dim, symbols(p.dim))
	}
	return Unit{}, fmt.Errorf("unknown unit %q: write it in %s", shown(symbol), symbols(p.dim))
}

func symbols(dim Dim) string {
	if dim == Number {
		return "a plain number"
	}
	var names []string
	for _, u := range Units(dim) {
		names = append(names, u.Symbol)
	}
	return strings.Join(names, ", ")
}

func cutPlusMinus(s string) (value, spread string, found bool) {
	for _, mark := range []string{"±", "+/-", "+-"} {
		if value, spread, found = strings.Cut(s, mark); found {
			return strings.TrimSpace(value), strings.TrimSpace(spread), true
		}
	}
	return s, "", false
}

// symbol takes what stands before the next number as a unit. Digits belong to it right after a
// letter (m3, in2) and where it begins with 1/ (1/h).
func (p *parser) symbol() string {
	i := 0
	for i < len(p.rest) && !p.numberStarts(i) {
		i++
	}
	symbol := plainSymbol(p.rest[:i])
	p.rest = strings.TrimSpace(p.rest[i:])
	return symbol
}

func (p *parser) numberStarts(i int) bool {
	c := p.rest[i]
	if c == '+' || c == '-' || c == '.' {
		return i > 0 && p.rest[i-1] == ' '
	}
	if c < '0' || c > '9' {
		return false
	}
	if i == 0 {
		return !strings.HasPrefix(p.rest, "1/")
	}
	before := p.rest[i-1]
	return before == ' ' || before == '"' || before == '\''
}

// number takes a decimal number, a fraction or a mixed number (13 1/2) from the front.
func (p *parser) number() (float64, error) {
	word, rest := cutNumber(p.rest)
	if word == "" {
		if p.rest == "" {
			return 0, fmt.Errorf("a number is missing")
		}
		return 0, fmt.Errorf("it does not begin with a number")
	}
	if strings.HasPrefix(rest, ",") {
		return 0, fmt.Errorf("write numbers with a decimal point and without thousands separators, like 1.75")
	}
	v, err := strconv.ParseFloat(word, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is no number", word)
	}
	p.rest = strings.TrimLeft(rest, " ")
	if strings.ContainsAny(word, ".eE") {
		return v, nil
	}
	return p.fraction(v, rest)
}

// fraction looks for the /2 of 1/2 and the 1/2 of 13 1/2 after a whole number.
func (p *parser) fraction(whole float64, rest string) (float64, error) {
	if over, ok := strings.CutPrefix(rest, "/"); ok {
		bottom, after, ok := cutWhole(over)
		if !ok {
			return whole, nil // 1/h: a unit
		}
		p.rest = strings.TrimLeft(after, " ")
		return whole / bottom, nil
	}
	top, after, ok := cutWhole(strings.TrimLeft(rest, " "))
	over, slash := strings.CutPrefix(after, "/")
	if !ok || !slash || !strings.HasPrefix(rest, " ") {
		return whole, nil
	}
	bottom, after, ok := cutWhole(over)
	if !ok {
		return whole, nil
	}
	p.rest = strings.TrimLeft(after, " ")
	return whole + math.Copysign(top/bottom, whole), nil
}

// cutWhole takes a whole number above zero.
func cutWhole(s string) (v float64, rest string, ok bool) {
	i := 0
	for i < len(s) && i < 6 && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	n, err := strconv.Atoi(s[:i])
	return float64(n), s[i:], err == nil && n > 0
}

// cutNumber takes the longest decimal number from the front: sign, digits, point, exponent.
func cutNumber(s string) (word, rest string) {
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	from := i
	digits := func() {
		for i < len(s) && s[i] >= '0' && s[i] <= '9' {
			i++
		}
	}
	digits()
	whole := i > from
	if i < len(s) && s[i] == '.' {
		dot := i
		i++
		digits()
		whole = whole || i > dot+1
	}
	if !whole {
		return "", s
	}
	if j := i; j < len(s) && (s[j] == 'e' || s[j] == 'E') {
		i++
		if i < len(s) && (s[i] == '+' || s[i] == '-') {
			i++
		}
		before := i
		if digits(); i == before {
			i = j
		}
	}
	return s[:i], s[i:]
}
