package roofplan

import (
	"encoding/json"
	"math"
	"math/rand"
	"os"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
)

func near(t *testing.T, what string, got, want, slack float64) {
	t.Helper()
	if !(math.Abs(got-want) <= slack) {
		t.Errorf("%s is %.9g, want %.9g", what, got, want)
	}
}

// geosRect is a rectangle of testdata/geos.json.
type geosRect struct {
	Centre              [2]float64
	Width, Height, Turn float64
}

func (g geosRect) shape() Shape {
	return Rect{Centre: Point{g.Centre[0], g.Centre[1]}, Width: g.Width, Height: g.Height, Turn: g.Turn}.Shape()
}

// Reference numbers computed by GEOS; testdata/geos.py says how.
func readGeos(t *testing.T) (cases struct {
	Pairs []struct {
		A, B             geosRect
		Distance, Common float64
	}
	Polygons []struct {
		P, Q                []([2]float64)
		Area, Common, Union float64
		Rect                geosRect
		Inside              bool
		Border              float64
	}
}) {
	t.Helper()
	data, err := os.ReadFile("testdata/geos.json")
	if err == nil {
		err = json.Unmarshal(data, &cases)
	}
	if err != nil || len(cases.Pairs) < 200 || len(cases.Polygons) < 100 {
		t.Fatalf("reference numbers: %v", err)
	}
	return cases
}

func TestDistancesAgainstGEOS(t *testing.T) {
	for i, c := range readGeos(t).Pairs {
		a, b := c.A.shape(), c.B.shape()
		d, p, q := Distance(a, b)
		near(t, "distance", d, c.Distance, 1e-9)
		near(t, "distance between the nearest points", p.DistanceTo(q), c.Distance, 1e-9)
		if back, _, _ := Distance(b, a); math.Abs(back-d) > 1e-12 {
			t.Errorf("pair %d: %g one way and %g the other", i, d, back)
		}
		if Overlap(a, b, 1e-9) != (c.Common > 1e-9) {
			t.Errorf("pair %d: overlap %v, common area %g", i, Overlap(a, b, 1e-9), c.Common)
		}
	}
}

func TestAreasAgainstGEOS(t *testing.T) {
	for i, c := range readGeos(t).Polygons {
		p, q := pointsOf(c.P), pointsOf(c.Q)
		near(t, "area", math.Abs(signedArea(p)), c.Area, 1e-9)
		roof, err := New([]Plane{{Name: "p", Outline: p, Downslope: 180}, {Name: "q", Outline: q, Downslope: 180}}, Limits{})
		if err != nil {
			t.Fatalf("polygon %d: %v", i, err)
		}
		if c.Common > 0.5 {
			if o := roof.Overlaps(); len(o) != 1 {
				t.Errorf("polygon %d: overlaps %v, common area %g", i, o, c.Common)
			} else {
				near(t, "common area", o[0].Area, c.Common, 1e-6)
			}
			near(t, "roof area", roof.TotalPlanArea(), c.Union, 1e-6)
		}
		// The rectangle is put on the plane as the frame lies.
		f := roof.Frame(0)
		r := c.Rect
		at := f.ToSurface(Point{r.Centre[0], r.Centre[1]})
		r.Centre = [2]float64{at.X, at.Y}
		strays := roof.Strays([]Item{{"r", 0, r.shape()}}, 1e-9)
		if (len(strays) == 0) != c.Inside {
			t.Errorf("polygon %d: strays %v, inside %v", i, strays, c.Inside)
		}
		n, ok := roof.Clearance(0, []Item{{"r", 0, r.shape()}})
		if !ok {
			t.Errorf("polygon %d: no clearance", i)
		}
		near(t, "clearance to the outline", n.Distance, c.Border, 1e-9)
	}
}

func pointsOf(list [][2]float64) []Point {
	var out []Point
	for _, p := range list {
		out = append(out, Point{p[0], p[1]})
	}
	return out
}

// The geometry library that the package uses for set operations has distances of its own, which the package does not use.
func TestDistancesAgainstLibrary(t *testing.T) {
	rng := rand.New(rand.NewSource(4))
	random := func() Shape {
		c := Point{rng.Float64() * 6, rng.Float64() * 6}
		switch rng.Intn(3) {
		case 0:
			return Disc(c, 0)
		case 1:
			return Segment(c, Point{rng.Float64() * 6, rng.Float64() * 6})
		}
		return Rect{Centre: c, Width: 0.1 + rng.Float64()*2, Height: 0.1 + rng.Float64()*2, Turn: rng.Float64() * 360}.Shape()
	}
	library := func(s Shape) geom.Geometry {
		c := s.Corners()
		switch len(c) {
		case 1:
			return geom.XY{X: c[0].X, Y: c[0].Y}.AsPoint().AsGeometry()
		case 2:
			return geom.NewLineString(geom.NewSequence([]float64{c[0].X, c[0].Y, c[1].X, c[1].Y}, geom.DimXY)).AsGeometry()
		}
		return polygon(c).AsGeometry()
	}
	for range 1000 {
		a, b := random(), random()
		want, _ := geom.Distance(library(a), library(b))
		got, _, _ := Distance(a, b)
		near(t, "distance", got, want, 1e-9)
		r, s := rng.Float64(), rng.Float64()
		got, p, q := Distance(a.Grown(r), b.Grown(s))
		near(t, "distance of grown shapes", got, max(0, want-r-s), 1e-9)
		near(t, "distance of their nearest points", p.DistanceTo(q), got, 1e-9)
		d, _, _ := Distance(Disc(p, 0), a)
		if d > r+1e-9 {
			t.Errorf("nearest point is %g from a shape grown by %g", d, r)
		}
	}
}

func TestShapeMeasures(t *testing.T) {
	r := Rect{Centre: Point{3, 4}, Width: 2, Height: 1, Turn: 90}
	want := [4]Point{{3.5, 3}, {3.5, 5}, {2.5, 5}, {2.5, 3}}
	if r.Corners() != want {
		t.Errorf("corners %v, want %v", r.Corners(), want)
	}
	near(t, "area of a rectangle", r.Shape().Area(), 2, 1e-12)
	near(t, "area of a disc", Disc(Point{}, 2).Area(), 4*math.Pi, 1e-12)
	near(t, "area of a grown segment", Segment(Point{}, Point{3, 0}).Grown(0.5).Area(), 3+math.Pi/4, 1e-12)
	if c := r.Shape().Centre(); c != (Point{3, 4}) {
		t.Errorf("centre %v", c)
	}
	if got := RectAt(Point{1, 2}, 2, 4); got.Centre != (Point{2, 4}) {
		t.Errorf("centre of a rectangle by its corner %v", got.Centre)
	}
}

func TestOverlapOfTouchingShapes(t *testing.T) {
	a := RectAt(Point{0, 0}, 1, 1).Shape()
	cases := []struct {
		name  string
		other Shape
		depth float64
	}{
		{"side by side", RectAt(Point{1, 0}, 1, 1).Shape(), 0},
		{"corner to corner", RectAt(Point{1, 1}, 1, 1).Shape(), 0},
		{"a tenth over", RectAt(Point{0.9, 0.2}, 1, 1).Shape(), 0.1},
		{"same", a, 1},
		{"disc touching", Disc(Point{1.5, 0.5}, 0.5), 0},
		{"disc reaching in", Disc(Point{1.5, 0.5}, 0.7), 0.2},
		{"disc with its centre inside", Disc(Point{0.9, 0.5}, 0.2), 0.3},
		{"point on a point", Disc(Point{0.5, 0.5}, 0), 0.5},
		{"apart", Disc(Point{5, 5}, 1), 0},
	}
	for _, c := range cases {
		near(t, c.name, penetration(&a, &c.other), c.depth, 1e-12)
	}
}

func TestEmptyShapes(t *testing.T) {
	bad := []Shape{
		{}, Disc(Point{math.NaN(), 0}, 1), Disc(Point{}, -1), Disc(Point{}, math.NaN()), Disc(Point{}, math.Inf(1)),
		Rect{Width: 0, Height: 1}.Shape(), Rect{Width: 1, Height: -1}.Shape(), Rect{Width: math.NaN(), Height: 1}.Shape(),
		Rect{Width: 1, Height: math.Inf(1)}.Shape(), Rect{Width: 1, Height: 1, Turn: math.NaN()}.Shape(),
		Segment(Point{}, Point{math.Inf(1), 0}),
	}
	for i, s := range bad {
		if !s.Empty() {
			t.Errorf("shape %d is not empty", i)
		}
		if d, _, _ := Distance(s, Disc(Point{}, 1)); !math.IsInf(d, 1) {
			t.Errorf("shape %d has distance %g", i, d)
		}
		if Overlap(s, Disc(Point{}, 1), 0) {
			t.Errorf("shape %d overlaps", i)
		}
	}
}
