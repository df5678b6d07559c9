package site

import (
	"fmt"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/sheet"
	"example.org/tankhand/livelevel/tank"
)

// vessel is a shape by its word in the sheet: the sizes it needs, and how it is made of them.
type vessel struct {
	needs []string
	make  func(t *Tank) (tank.Shape, error)
}

var shapeNames = []string{"box", "vertical cylinder", "horizontal cylinder", "sphere", "cone bottom", "dished bottom", "table"}

var vessels = map[string]vessel{
	"box": {[]string{"length", "width", "height"}, func(t *Tank) (tank.Shape, error) {
		return tank.Box(t.Length.V, t.Width.V, t.Height.V)
	}},
	"vertical cylinder": {[]string{"diameter", "height"}, func(t *Tank) (tank.Shape, error) {
		return tank.VerticalCylinder(t.Diameter.V, t.Height.V)
	}},
	"horizontal cylinder": {[]string{"diameter", "length"}, func(t *Tank) (tank.Shape, error) {
		return tank.HorizontalCylinder(t.Diameter.V, t.Length.V, tank.Heads{Kind: headKinds[t.Heads], Depth: t.HeadDepth.Or(0)})
	}},
	"sphere": {[]string{"diameter"}, func(t *Tank) (tank.Shape, error) { return tank.Sphere(t.Diameter.V) }},
	"cone bottom": {[]string{"diameter", "cone_height", "height"}, func(t *Tank) (tank.Shape, error) {
		return tank.ConeBottom(t.Diameter.V, t.ConeHeight.V, t.Height.V)
	}},
	"dished bottom": {[]string{"diameter", "bottom_depth", "height"}, func(t *Tank) (tank.Shape, error) {
		return tank.DishedBottom(t.Diameter.V, t.BottomDepth.V, t.Height.V)
	}},
	"table": {nil, func(t *Tank) (tank.Shape, error) { return tank.Strapping(t.Rows) }},
}

var headKinds = map[string]tank.HeadKind{"flat": tank.Flat, "ellipsoidal": tank.Ellipsoidal, "torispherical": tank.Torispherical,
	"hemispherical": tank.Hemispherical, "spherical cap": tank.SphericalCap}

// tankSizes are the keys of the sizes, and where each is kept.
var tankSizes = map[string]func(*Tank) *Fact{
	"diameter": func(t *Tank) *Fact { return &t.Diameter }, "height": func(t *Tank) *Fact { return &t.Height },
	"length": func(t *Tank) *Fact { return &t.Length }, "width": func(t *Tank) *Fact { return &t.Width },
	"cone_height": func(t *Tank) *Fact { return &t.ConeHeight }, "bottom_depth": func(t *Tank) *Fact { return &t.BottomDepth },
}

// readTank reads the shape. A size that is unknown leaves the shape unknown, which costs the
// volumes; one that is left out is a mistake, because no shape can do without.
func readTank(s *Sheet, m *sheet.Map, there bool) {
	t := &s.Tank
	t.Rows = readRows(m)
	if there {
		m.Need("shape")
	}
	t.Kind = m.Word("shape", append(append([]string(nil), shapeNames...), unknown)...)
	v, ok := vessels[t.Kind]
	if !ok {
		return
	}
	m.Need(v.needs...)
	headsFit(t, m)
	rowsFit(t, m)
	if t.heightFollows() && m.Has("height") {
		m.Problem("height", "the height of a %s follows from what else is given: leave height out", t.Kind)
		return
	}
	if err := t.build(); err != nil {
		m.Doc().Add(m.Place, "%v", err)
	}
	if t.Kind == "table" {
		t.Height.Place = m.PlaceOf("rows")
	}
}

// build makes the shape of the sizes; it stays unknown where one of them is.
func (t *Tank) build() error {
	t.Shape = nil
	v, ok := vessels[t.Kind]
	if !ok || !t.complete(v) {
		return nil
	}
	shape, err := v.make(t)
	if err != nil {
		return fmt.Errorf("this is no %s: %w", t.Kind, err)
	}
	t.Shape = shape
	if t.Kind == "table" {
		t.Height = Fact{Quantity: quantity.Of(shape.Height(), quantity.Length), Origin: Given}
	} else if t.heightFollows() {
		t.Height = t.Diameter
	}
	return nil
}

func (t *Tank) complete(v vessel) bool {
	for _, key := range v.needs {
		if !tankSizes[key](t).Known() {
			return false
		}
	}
	switch t.Kind {
	case "horizontal cylinder":
		return t.Heads != unknown && t.Heads != "" && (t.Heads != "spherical cap" || t.HeadDepth.Known())
	case "table":
		return len(t.Rows) > 0
	}
	return true
}

// heightFollows tells whether the other sizes imply the height.
func (t *Tank) heightFollows() bool {
	return t.Kind == "sphere" || t.Kind == "horizontal cylinder" || t.Kind == "table"
}

func headsFit(t *Tank, m *sheet.Map) {
	if t.Kind != "horizontal cylinder" {
		for _, key := range []string{"heads", "head_depth"} {
			if m.Has(key) {
				m.Problem(key, "a %s has no heads: leave %s out", t.Kind, key)
			}
		}
		return
	}
	m.Need("heads")
	if t.Heads == "spherical cap" && !m.Has("head_depth") {
		m.Problem("heads", "spherical cap heads need head_depth, the depth of one head")
	}
}

func rowsFit(t *Tank, m *sheet.Map) {
	if t.Kind == "table" {
		m.Need("rows")
	} else if m.Has("rows") {
		m.Problem("rows", "a %s has no strapping table: leave rows out, or say shape: table", t.Kind)
	}
}

// readRows reads the strapping table: pairs of a level and the volume at it.
func readRows(m *sheet.Map) []tank.Row {
	if !m.Has("rows") {
		m.Get("rows")
		return nil
	}
	var rows []tank.Row
	for _, n := range m.Items("rows") {
		pair := n.Texts()
		if len(pair) != 2 {
			n.Problem("a row is a level and the volume there, like [0.50 m, 0.47 m3]")
			return nil
		}
		level, err := quantity.Parse(pair[0], quantity.Length)
		if err != nil {
			n.Items()[0].Problem("%v", err)
		}
		volume, err := quantity.Parse(pair[1], quantity.Volume)
		if err != nil {
			n.Items()[1].Problem("%v", err)
		}
		rows = append(rows, tank.Row{Level: level.V, Volume: volume.V})
	}
	return rows
}
