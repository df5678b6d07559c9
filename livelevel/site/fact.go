package site

import (
	"fmt"
	"strings"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/sheet"
)

// ParseFact reads a quantity as it stands in a sheet: "1.75 m", "1.75 m ± 5 mm (measured)", "unknown".
// The word in brackets says how it was got: measured, label or assumed; without it, it is Given.
func ParseFact(text string, dim quantity.Dim) (Fact, error) {
	value, origin, err := cutOrigin(text)
	if err != nil {
		return Fact{}, err
	}
	if value == unknown {
		return Fact{Quantity: quantity.Quantity{Dim: dim}, Stated: true}, nil
	}
	q, err := quantity.Parse(value, dim)
	if err != nil {
		return Fact{}, err
	}
	return Fact{Quantity: q, Origin: origin, Stated: q.U > 0}, nil
}

func cutOrigin(text string) (value string, origin Origin, err error) {
	value = strings.TrimSpace(text)
	open := strings.LastIndexByte(value, '(')
	if open < 0 || !strings.HasSuffix(value, ")") {
		return value, Given, nil
	}
	how := strings.TrimSpace(value[open+1 : len(value)-1])
	value = strings.TrimSpace(value[:open])
	for o := Assumed; o <= Measured; o++ {
		if o.String() == how {
			return value, o, nil
		}
	}
	return "", Unknown, fmt.Errorf("%q does not say how the value was got: write (measured), (label) or (assumed)", "("+how+")")
}

// String writes the fact as it stands in a sheet.
func (f Fact) String() string {
	if !f.Known() {
		return unknown
	}
	q := f.Quantity
	if !f.Stated {
		q.U = 0
	}
	s := q.String()
	if f.Origin != Given {
		s += " (" + f.Origin.String() + ")"
	}
	return s
}

// read reads the field's value as it stands in a sheet.
func (f field) read(text string) (Fact, error) {
	out, err := ParseFact(text, f.dim)
	if err != nil || !out.Known() {
		return out, err
	}
	if why := f.impossible(out.V); why != "" {
		return Fact{}, fmt.Errorf("%s is not possible here: %s", out.text(), why)
	}
	return f.uncertain(out), nil
}

// readMark reads a switching mark: a percentage of the height between the marks, or a distance.
func readMark(text string) (Fact, error) {
	value, _, err := cutOrigin(text)
	if err != nil {
		return Fact{}, err
	}
	if strings.Contains(value, "%") || value == unknown {
		return from("", quantity.Ratio, 0, 2, nil).read(text)
	}
	if _, err := quantity.Parse(value, quantity.Length); err != nil {
		return Fact{}, fmt.Errorf("%q is neither a percentage of the height between the marks, like 40 %%, nor a distance from the sensor's face, like 1.20 m", value)
	}
	return distance("", 50, nil).read(text)
}

// collect puts a fact with its place into the sheet, or the mistake into the document.
func collect(into *Fact, n *sheet.Node, read func(string) (Fact, error)) {
	if n == nil || n.Kind == sheet.Empty {
		return
	}
	if n.Kind != sheet.Scalar {
		n.Text() // says that a text is needed
		return
	}
	f, err := read(n.Text())
	if err != nil {
		n.Problem("%v", err)
		return
	}
	f.Place = n.Place
	*into = f
}

// uncertain fills in the documented uncertainty where none is stated.
func (f field) uncertain(out Fact) Fact {
	if out.Stated {
		return out
	}
	half := f.spread
	if f.relative {
		half *= out.V
	}
	out.Quantity = out.Within(half)
	return out
}

func (f field) impossible(v float64) string {
	show := func(v float64) string { return quantity.Format(quantity.Of(v, f.dim), quantity.Metric) }
	switch {
	case f.open && v <= 0:
		return "it must be above zero"
	case v < f.low:
		return "it must be at least " + show(f.low)
	case v > f.top:
		return "it must be at most " + show(f.top)
	}
	return ""
}
