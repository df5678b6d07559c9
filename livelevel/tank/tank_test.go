package tank

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"example.org/tankhand/testdata/reference"
)

func shapeOf(t *testing.T, kind string, p map[string]float64) Shape {
	t.Helper()
	const tall = 3 // the height of upright tanks; the tables do not reach it
	var s Shape
	var err error
	d, l, depth := p["D_m"], p["L_m"], p["head_depth_m"]
	switch kind {
	case "rectangular":
		s, err = Box(p["length_m"], p["width_m"], tall)
	case "vertical_cylinder":
		s, err = VerticalCylinder(d, tall)
	case "horizontal_flat":
		s, err = HorizontalCylinder(d, l, Heads{})
	case "horizontal_ellipsoidal_2to1":
		s, err = HorizontalCylinder(d, l, Heads{Kind: Ellipsoidal})
	case "horizontal_ellipsoidal":
		s, err = HorizontalCylinder(d, l, Heads{Kind: Ellipsoidal, Depth: depth})
	case "horizontal_spherical_cap":
		s, err = HorizontalCylinder(d, l, Heads{Kind: SphericalCap, Depth: depth})
	case "horizontal_hemispherical":
		s, err = HorizontalCylinder(d, l, Heads{Kind: Hemispherical})
	case "horizontal_torispherical":
		s, err = HorizontalCylinder(d, l, Heads{Kind: Torispherical, Dish: p["f"], Knuckle: p["k"]})
	case "sphere":
		s, err = Sphere(d)
	case "vertical_cone_bottom":
		s, err = ConeBottom(d, p["cone_height_m"], tall)
	case "vertical_ellipsoidal_bottom":
		s, err = DishedBottom(d, depth, tall)
	default:
		require.Fail(t, "unknown shape", kind)
	}
	require.NoError(t, err)
	return s
}

func TestVolumesOfTheReferenceCases(t *testing.T) {
	cases := reference.Table(t, "tank_cases.csv")
	for _, c := range cases {
		s := shapeOf(t, c.Text("shape"), c.Numbers("params"))
		assert.InEpsilon(t, c.Number("volume_m3"), s.Volume(c.Number("level_m")), 1e-6, "%v", c)
		if h := c.Number("level_m"); s.Area(h) > 0 { // at a crown, eight digits of volume give four of level
			assert.InDelta(t, h, s.Level(c.Number("volume_m3")), 1e-6, "%v", c)
		}
	}
}

// Worked examples of the article "Calculating Tank Volume" (accessed 2015).
func TestVolumesOfPublishedExamples(t *testing.T) {
	for _, c := range reference.Table(t, "tank_published.csv") {
		p := c.Numbers("params")
		p["D_m"] = c.Number("D_m")
		if c.Text("L_m") != "" {
			p["L_m"] = c.Number("L_m")
		}
		s := shapeOf(t, c.Text("shape"), p)
		assert.InEpsilon(t, c.Number("volume_m3"), s.Volume(c.Number("level_m")), 1e-6, "%v", c)
	}
}

// The table of partially filled horizontal cylinders; Perry's Chemical Engineers' Handbook agrees to
// four digits (from memory).
func TestHorizontalCylinderFractions(t *testing.T) {
	const d, l = 2.0, 3.0
	flat, err := HorizontalCylinder(d, l, Heads{})
	require.NoError(t, err)
	ball, err := Sphere(d)
	require.NoError(t, err)
	for _, c := range reference.Table(t, "horizontal_cylinder_fraction.csv") {
		h := c.Number("h_over_D") * d
		assert.InDelta(t, c.Number("cylinder_fraction"), flat.Volume(h)/flat.Volume(d), 6e-7, "%v", c)
		assert.InDelta(t, c.Number("sphere_or_ellipsoidal_head_fraction"), ball.Volume(h)/ball.Volume(d), 6e-7, "%v", c)
	}
}

func TestStrappingTable(t *testing.T) {
	var rows []Row
	cases := reference.Table(t, "strapping_table.csv")
	for _, c := range cases {
		if c.Text("kind") == "table" {
			rows = append(rows, Row{c.Number("level_m"), c.Number("volume_m3")})
		}
	}
	s, err := Strapping(rows)
	require.NoError(t, err)
	for _, c := range cases {
		assert.InDelta(t, c.Number("volume_m3"), s.Volume(c.Number("level_m")), 1e-9, "%v", c)
		assert.InDelta(t, c.Number("level_m"), s.Level(c.Number("volume_m3")), 1e-9, "%v", c)
	}
	assert.Equal(t, 0.931, s.Volume(2), "nothing is extrapolated")
	assert.Equal(t, 1.5, s.Height())
}

func TestImpossibleShapesAreRefused(t *testing.T) {
	fail := func(_ Shape, err error) { t.Helper(); assert.Error(t, err) }
	fail(Box(0, 1, 1))
	fail(Box(1, -1, 1))
	fail(Box(1, 1, math.NaN()))
	fail(VerticalCylinder(math.Inf(1), 1))
	fail(ConeBottom(1, 2, 1))
	fail(DishedBottom(1, 0, 1))
	fail(Sphere(0))
	fail(HorizontalCylinder(1, 1, Heads{Kind: SphericalCap}))
	fail(HorizontalCylinder(1, 1, Heads{Kind: Ellipsoidal, Depth: -1}))
	fail(HorizontalCylinder(1, 1, Heads{Kind: Torispherical, Knuckle: 0.6}))
	fail(HorizontalCylinder(1, 1, Heads{Kind: 9}))
	fail(Strapping([]Row{{0, 0}}))
	fail(Strapping([]Row{{0, 0}, {1, 1}, {1, 2}}))
	fail(Strapping([]Row{{0, 0}, {1, 1}, {2, 1}}))
	fail(Strapping([]Row{{0, math.NaN()}, {1, 1}}))
}

// anyShape draws one of all the shapes, from a bucket to a hall.
func anyShape(t *rapid.T) Shape {
	size := func(name string) float64 { return rapid.Float64Range(0.2, 12).Draw(t, name) }
	d, l := size("diameter"), size("length")
	share := rapid.Float64Range(0.05, 0.5).Draw(t, "share")
	makers := []func() (Shape, error){
		func() (Shape, error) { return Box(d, l, size("height")) },
		func() (Shape, error) { return VerticalCylinder(d, l) },
		func() (Shape, error) { return ConeBottom(d, share*d, share*d+l) },
		func() (Shape, error) { return DishedBottom(d, share*d, share*d+l) },
		func() (Shape, error) { return Sphere(d) },
		func() (Shape, error) { return HorizontalCylinder(d, l, Heads{}) },
		func() (Shape, error) { return HorizontalCylinder(d, l, Heads{Kind: Ellipsoidal}) },
		func() (Shape, error) { return HorizontalCylinder(d, l, Heads{Kind: Hemispherical}) },
		func() (Shape, error) {
			return HorizontalCylinder(d, l, Heads{Kind: Torispherical, Dish: 0.7 + share, Knuckle: 0.03 + share/3})
		},
		func() (Shape, error) { return HorizontalCylinder(d, l, Heads{Kind: SphericalCap, Depth: share * d}) },
		func() (Shape, error) {
			rows := []Row{{0, 0}}
			for range rapid.IntRange(1, 20).Draw(t, "rows") {
				last := rows[len(rows)-1]
				rows = append(rows, Row{last.Level + size("step")/10, last.Volume + size("more")})
			}
			return Strapping(rows)
		},
	}
	s, err := makers[rapid.IntRange(0, len(makers)-1).Draw(t, "shape")]()
	require.NoError(t, err)
	return s
}

func TestLevelToVolumeAndBackIsTheIdentity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyShape(t)
		h := rapid.Float64Range(0.001, 0.999).Draw(t, "share") * s.Height()
		assert.InDelta(t, h, s.Level(s.Volume(h)), 1e-7*s.Height())
		v := rapid.Float64Range(0.001, 0.999).Draw(t, "volume") * s.Volume(s.Height())
		assert.InEpsilon(t, v, s.Volume(s.Level(v)), 1e-9)
	})
}

func TestVolumeGrowsWithLevelAndStopsAtTheEnds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyShape(t)
		top := s.Height()
		a := rapid.Float64Range(0, 1).Draw(t, "a") * top
		b := a + rapid.Float64Range(1e-6, 0.1).Draw(t, "b")*top
		if b < top && a > 0 {
			assert.Less(t, s.Volume(a), s.Volume(b))
		}
		assert.Equal(t, s.Volume(0), s.Volume(-1))
		assert.Equal(t, s.Volume(top), s.Volume(top+1))
		assert.InDelta(t, top, s.Level(2*s.Volume(top)), 1e-12*top)
		assert.InDelta(t, 0, s.Level(-1), 1e-12*top)
		assert.GreaterOrEqual(t, s.Area(a), 0.0)
	})
}

// The volume is the integral of the free surface: Simpson's rule over even steps of the angle of the
// waterline, in which all the shapes but the strapping table are smooth, apart from a bend or two.
func TestVolumeIsTheIntegralOfTheArea(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyShape(t)
		top := s.Height() * rapid.Float64Range(0.01, 1).Draw(t, "share")
		const n = 4000
		sum, at := 0.0, func(i float64) float64 {
			x := math.Pi * i / n
			return s.Area(top*(1-math.Cos(x))/2) * top / 2 * math.Sin(x)
		}
		for i := range n {
			x := float64(i)
			sum += (at(x) + 4*at(x+0.5) + at(x+1)) / 6 * math.Pi / n
		}
		tolerance := 5e-6 * s.Volume(top)
		if steps, ok := s.(*table); ok { // each step of the area may cost it times the width of a cell
			for i := 2; i < len(steps.rows); i++ {
				jump := math.Abs(s.Area(steps.rows[i-1].Level) - s.Area(steps.rows[i-2].Level))
				tolerance += jump * top / 2 * math.Pi / n
			}
		}
		assert.InDelta(t, s.Volume(top), sum, tolerance)
	})
}

func TestLevelPercentIsNotVolumePercent(t *testing.T) {
	s, err := HorizontalCylinder(1.5, 3, Heads{})
	require.NoError(t, err)
	assert.InDelta(t, 0.196, s.Volume(1.5/4)/s.Volume(1.5), 5e-4)
}

func BenchmarkVolume(b *testing.B) {
	for name, heads := range map[string]Heads{"flat": {}, "torispherical": {Kind: Torispherical}} {
		s, err := HorizontalCylinder(1.5, 3, heads)
		require.NoError(b, err)
		b.Run(name, func(b *testing.B) {
			for i := range b.N {
				s.Volume(float64(i%1500) / 1000)
			}
		})
	}
}

func BenchmarkTorispherical(b *testing.B) {
	for range b.N {
		_, _ = HorizontalCylinder(1.5, 3, Heads{Kind: Torispherical})
	}
}
