package roofplan

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func mustRoof(t testing.TB, planes ...Plane) *Roof {
	t.Helper()
	r, err := New(planes, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func height(z float64) *float64 { return &z }

// hipRoof is a hip roof over 12 m by 8 m with one slope all round, its ridge along x from 4 to 8.
func hipRoof(slope float64) []Plane {
	return []Plane{
		{Name: "south", Outline: []Point{{0, 0}, {12, 0}, {8, 4}, {4, 4}}, Slope: slope, Downslope: 180},
		{Name: "east", Outline: []Point{{12, 0}, {12, 8}, {8, 4}}, Slope: slope, Downslope: 90},
		{Name: "north", Outline: []Point{{12, 8}, {0, 8}, {4, 4}, {8, 4}}, Slope: slope, Downslope: 0},
		{Name: "west", Outline: []Point{{0, 8}, {0, 0}, {4, 4}}, Slope: slope, Downslope: 270},
	}
}

// valleyRoof is the inner corner of an L-shaped gable roof: the main plane falls south, the wing falls west, and the valley runs up from
// the inner corner at (6, 0).
func valleyRoof(slope float64) []Plane {
	return []Plane{
		{Name: "main", Outline: []Point{{0, 0}, {6, 0}, {10, 4}, {0, 4}}, Slope: slope, Downslope: 180},
		{Name: "wing", Outline: []Point{{6, -6}, {10, -6}, {10, 4}, {6, 0}}, Slope: slope, Downslope: 270},
	}
}

func kindsOf(r *Roof, plane int) string {
	kinds := make([]string, len(r.Plane(plane).Outline))
	for _, e := range r.Edges(plane) {
		if kinds[e.Index] != "" {
			kinds[e.Index] += "+"
		}
		kinds[e.Index] += e.Kind.String()
	}
	return strings.Join(kinds, ", ")
}

func TestEdgeKinds(t *testing.T) {
	steep, shallow := 60.0, 20.0
	cases := []struct {
		name   string
		planes []Plane
		want   []string
	}{
		{"gable", []Plane{
			{Name: "a", Outline: []Point{{0, 0}, {10, 0}, {10, 4}, {0, 4}}, Slope: 30, Downslope: 180},
			{Name: "b", Outline: []Point{{0, 4}, {10, 4}, {10, 8}, {0, 8}}, Slope: 30, Downslope: 0},
		}, []string{"eave, rake, ridge, rake", "ridge, rake, eave, rake"}},
		{"gable drawn clockwise and a little inexactly", []Plane{
			{Name: "a", Outline: []Point{{0, 4}, {10, 4.004}, {10, 0}, {0, 0}}, Slope: 30, Downslope: 180},
			{Name: "b", Outline: []Point{{0, 4.003}, {0, 8}, {10, 8}, {10, 3.998}}, Slope: 30.2, Downslope: 0.3},
		}, []string{"ridge, rake, eave, rake", "rake, eave, rake, ridge"}},
		{"single pitch", []Plane{{Name: "a", Outline: []Point{{0, 0}, {10, 0}, {10, 4}, {0, 4}}, Slope: 10, Downslope: 180}},
			[]string{"eave, rake, high eave, rake"}},
		{"hip", hipRoof(25), []string{"eave, hip, ridge, hip", "eave, hip, hip", "eave, hip, ridge, hip", "eave, hip, hip"}},
		{"valley", valleyRoof(25), []string{"eave, valley, high eave, rake", "rake, high eave, valley, eave"}},
		{"butterfly", []Plane{
			{Name: "a", Outline: []Point{{0, 0}, {10, 0}, {10, 4}, {0, 4}}, Slope: 10, Downslope: 0},
			{Name: "b", Outline: []Point{{0, 4}, {10, 4}, {10, 8}, {0, 8}}, Slope: 10, Downslope: 180},
		}, []string{"high eave, rake, valley, rake", "valley, rake, high eave, rake"}},
		{"gambrel", []Plane{
			{Name: "lower", Outline: []Point{{0, 0}, {10, 0}, {10, 2}, {0, 2}}, Slope: steep, Downslope: 180},
			{Name: "upper", Outline: []Point{{0, 2}, {10, 2}, {10, 5}, {0, 5}}, Slope: shallow, Downslope: 180},
		}, []string{"eave, rake, break, rake", "break, rake, high eave, rake"}},
		{"partly shared ridge", []Plane{
			{Name: "a", Outline: []Point{{0, 0}, {10, 0}, {10, 4}, {0, 4}}, Slope: 30, Downslope: 180},
			{Name: "b", Outline: []Point{{3, 4}, {7, 4}, {7, 8}, {3, 8}}, Slope: 30, Downslope: 0},
		}, []string{"eave, rake, high eave+ridge+high eave, rake", "ridge, rake, eave, rake"}},
		{"a step between side-by-side planes of unlike slope", []Plane{
			{Name: "a", Outline: []Point{{0, 0}, {5, 0}, {5, 4}, {0, 4}}, Slope: 30, Downslope: 180},
			{Name: "b", Outline: []Point{{5, 0}, {9, 0}, {9, 4}, {5, 4}}, Slope: 10, Downslope: 180},
		}, []string{"eave, step, high eave, rake", "eave, rake, high eave, step"}},
		{"a step known by heights", []Plane{
			{Name: "a", Outline: []Point{{0, 0}, {5, 0}, {5, 4}, {0, 4}}, Slope: 30, Downslope: 180, Elevation: height(3)},
			{Name: "b", Outline: []Point{{0, 4}, {5, 4}, {5, 8}, {0, 8}}, Slope: 30, Downslope: 0, Elevation: height(4)},
		}, []string{"eave, rake, step, rake", "step, rake, eave, rake"}},
		{"heights that meet", []Plane{
			{Name: "a", Outline: []Point{{0, 0}, {5, 0}, {5, 4}, {0, 4}}, Slope: 30, Downslope: 180, Elevation: height(3)},
			{Name: "b", Outline: []Point{{0, 4}, {5, 4}, {5, 8}, {0, 8}}, Slope: 30, Downslope: 0, Elevation: height(3)},
		}, []string{"eave, rake, ridge, rake", "ridge, rake, eave, rake"}},
		{"stated kinds", []Plane{
			{Name: "a", Outline: []Point{{0, 0}, {5, 0}, {5, 4}, {0, 4}}, Slope: 30, Downslope: 180, Kinds: []EdgeKind{Unstated, Wall, Step, Unstated}},
			{Name: "b", Outline: []Point{{0, 4}, {5, 4}, {5, 8}, {0, 8}}, Slope: 30, Downslope: 0},
		}, []string{"eave, wall, step, rake", "step, rake, eave, rake"}},
	}
	for _, c := range cases {
		r := mustRoof(t, c.planes...)
		for i, want := range c.want {
			if got := kindsOf(r, i); got != want {
				t.Errorf("%s, plane %d: %s; want %s", c.name, i, got, want)
			}
			for _, e := range r.Edges(i) {
				if (e.Neighbour < 0) != (e.mate < 0) || e.mate >= 0 && r.edges[e.Neighbour][e.mate].Neighbour != i {
					t.Errorf("%s: edge %+v and its other side disagree", c.name, e)
				}
			}
		}
	}
}

func TestFaultyPlanes(t *testing.T) {
	square := []Point{{0, 0}, {4, 0}, {4, 4}, {0, 4}}
	nan := math.NaN()
	cases := []struct {
		name  string
		plane Plane
		want  []string // places and words
	}{
		{"slope too steep", Plane{Outline: square, Slope: 90}, []string{`plane "p": slope of 90`}},
		{"slope not a number", Plane{Outline: square, Slope: nan}, []string{`plane "p": slope of NaN`}},
		{"negative slope and no direction", Plane{Outline: square, Slope: -1, Downslope: math.Inf(1)}, []string{"slope of -1", "bearing +Inf"}},
		{"two corners", Plane{Outline: square[:2]}, []string{"2 corners"}},
		{"no corners", Plane{}, []string{"0 corners"}},
		{"not a place", Plane{Outline: []Point{{0, 0}, {nan, 0}, {4, 4}}}, []string{`edge 2: corner (NaN, 0)`}},
		{"corner repeated", Plane{Outline: []Point{{0, 0}, {4, 0}, {4, 0}, {4, 4}}}, []string{"edge 2: corner (4, 0) is repeated"}},
		{"first corner repeated at the end", Plane{Outline: []Point{{0, 0}, {4, 0}, {4, 4}, {0, 0}}}, []string{"edge 4: corner (0, 0) is repeated"}},
		{"crossing itself", Plane{Outline: []Point{{0, 0}, {4, 4}, {4, 0}, {0, 4}}}, []string{"edge 1: outline meets itself at (2.000, 2.000), on edge 3"}},
		{"touching itself", Plane{Outline: []Point{{0, 0}, {4, 0}, {4, 4}, {2, 0}, {0, 4}}}, []string{"edge 1: outline meets itself at (2.000, 0.000), on edge 3"}},
		{"no area", Plane{Outline: []Point{{0, 0}, {4, 0}, {2, 0}}}, []string{"edge 1: outline meets itself"}},
		{"kinds of the wrong number", Plane{Outline: square, Kinds: []EdgeKind{Eave}}, []string{"1 edge kinds stated for 4 edges"}},
		{"unknown kind", Plane{Outline: square, Kinds: []EdgeKind{Eave, 99, Eave, Eave}}, []string{"edge 2: unknown edge kind 99"}},
		{"a hip with nothing along it", Plane{Outline: square, Slope: 10, Downslope: 180, Kinds: []EdgeKind{Unstated, Hip, Unstated, Unstated}}, []string{"edge 2: stated as hip"}},
		{"hole of two corners", Plane{Outline: square, Holes: [][]Point{square[:2]}}, []string{"hole 1 has 2 corners"}},
		{"hole outside", Plane{Outline: square, Holes: [][]Point{{{5, 1}, {6, 1}, {6, 2}}}}, []string{"hole 1 does not lie inside the outline"}},
		{"hole over the outline", Plane{Outline: square, Holes: [][]Point{{{1, 1}, {2, 1}, {2, 2}}, {{3, 1}, {5, 1}, {3, 2}}}}, []string{"edge 8: hole 2 meets outline at (4.000, 1.000), on edge 2"}},
		{"holes over one another", Plane{Outline: square, Holes: [][]Point{{{1, 1}, {2, 1}, {2, 2}, {1, 2}}, {{1.5, 0.5}, {3, 0.5}, {3, 1.5}, {1.5, 1.5}}}}, []string{"edge 11: hole 2 meets hole 1 at (2.000, 1.500), on edge 6"}},
		{"hole in a hole", Plane{Outline: square, Holes: [][]Point{{{1, 1}, {3, 1}, {3, 3}, {1, 3}}, {{1.5, 1.5}, {2, 1.5}, {2, 2}}}}, []string{"hole 2 lies inside hole 1"}},
		{"hole round a hole", Plane{Outline: square, Holes: [][]Point{{{1.5, 1.5}, {2, 1.5}, {2, 2}}, {{1, 1}, {3, 1}, {3, 3}, {1, 3}}}}, []string{"hole 1 lies inside hole 2"}},
		{"hole that crosses itself", Plane{Outline: square, Holes: [][]Point{{{1, 1}, {2, 2}, {2, 1}, {1, 2}}}}, []string{"edge 5: hole 1 meets itself at (1.500, 1.500), on edge 7"}},
		{"hole with a corner repeated", Plane{Outline: square, Holes: [][]Point{{{1, 1}, {2, 1}, {2, 1}, {1, 2}}}}, []string{"edge 6: corner (2, 1) is repeated"}},
		{"hole without a place", Plane{Outline: square, Holes: [][]Point{{{1, 1}, {2, nan}, {2, 1}}}}, []string{"edge 6: corner (2, NaN)"}},
		{"kinds without those of the hole", Plane{Outline: square, Holes: [][]Point{{{1, 1}, {2, 1}, {2, 2}}}, Kinds: make([]EdgeKind, 4)}, []string{"4 edge kinds stated for 7 edges"}},
		{"height not a number", Plane{Outline: square, Elevation: &nan}, []string{"elevation NaN"}},
	}
	for _, c := range cases {
		c.plane.Name = "p"
		_, err := New([]Plane{c.plane}, Limits{})
		if err == nil {
			t.Errorf("%s: no error", c.name)
			continue
		}
		for _, want := range c.want {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %q lacks %q", c.name, err, want)
			}
		}
		var place *PlaneError
		if !errors.As(err, &place) || place.Plane != "p" {
			t.Errorf("%s: %v names no plane", c.name, err)
		}
	}
}

func TestAllFaultsAtOnce(t *testing.T) {
	_, err := New([]Plane{{Slope: 91}, {Name: "a", Outline: []Point{{0, 0}}}, {Name: "a", Outline: []Point{{0, 0}, {1, 0}, {0, 1}}}}, Limits{})
	for _, want := range []string{"slope of 91", `"#1": has no name`, "1 corners", "another plane has this name"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v lacks %q", err, want)
		}
	}
	if _, err := New(nil, Limits{}); err == nil {
		t.Error("a roof without planes is taken")
	}
	a := Plane{Name: "a", Outline: []Point{{0, 0}, {5, 0}, {5, 4}, {0, 4}}, Slope: 30, Downslope: 180, Kinds: []EdgeKind{0, 0, Ridge, 0}}
	b := Plane{Name: "b", Outline: []Point{{0, 4}, {5, 4}, {5, 8}, {0, 8}}, Slope: 30, Kinds: []EdgeKind{Step, 0, 0, 0}}
	if _, err := New([]Plane{a, b}, Limits{}); err == nil || !strings.Contains(err.Error(), `edge 3: stated as ridge here and as step by plane "b"`) {
		t.Errorf("kinds that disagree: %v", err)
	}
}

func TestFrame(t *testing.T) {
	cos := math.Cos(30 * math.Pi / 180)
	square := []Point{{10, 20}, {16, 20}, {16, 24}, {10, 24}}
	cases := []struct {
		name      string
		plane     Plane
		plan, out Point
	}{
		// Looking up a slope that falls south is looking north: left is west.
		{"south", Plane{Outline: square, Slope: 30, Downslope: 180}, Point{11, 22}, Point{1, 2 / cos}},
		{"north", Plane{Outline: square, Slope: 30, Downslope: 0}, Point{11, 22}, Point{5, 2 / cos}},
		{"east", Plane{Outline: square, Slope: 30, Downslope: 90}, Point{11, 22}, Point{2, 5 / cos}},
		{"west", Plane{Outline: square, Slope: 30, Downslope: 270}, Point{11, 22}, Point{2, 1 / cos}},
		{"level roof", Plane{Outline: square, Downslope: 180}, Point{11, 22}, Point{1, 2}},
		{"lowest edge shorter than the plane", Plane{Outline: []Point{{2, 0}, {4, 0}, {8, 3}, {0, 3}}, Slope: 30, Downslope: 180}, Point{0, 3}, Point{-2, 3 / cos}},
		{"lowest edge in two parts", Plane{Outline: []Point{{1, 0}, {2, 0}, {2, 1}, {4, 1}, {4, 0}, {5, 0}, {5, 3}, {0, 3}}, Slope: 30, Downslope: 180}, Point{4, 0}, Point{3, 0}},
		{"lowest is a corner", Plane{Outline: []Point{{3, 0}, {6, 3}, {0, 3}}, Slope: 30, Downslope: 180}, Point{3, 0}, Point{3, 0}},
		{"bearing off by half a degree", Plane{Outline: square, Slope: 30, Downslope: 180.5}, Point{10, 20}, Point{0, 0.05 / cos}},
	}
	for _, c := range cases {
		c.plane.Name = "p"
		f := mustRoof(t, c.plane).Frame(0)
		got := f.ToSurface(c.plan)
		slack := 1e-9
		if c.plane.Downslope == 180.5 {
			slack = 0.06 // where the lowest corner is 5 cm lower than the other end of the lowest edge
		}
		near(t, c.name+" x", got.X, c.out.X, slack)
		near(t, c.name+" y", got.Y, c.out.Y, slack)
		back := f.ToPlan(got)
		near(t, c.name+" back x", back.X, c.plan.X, 1e-9)
		near(t, c.name+" back y", back.Y, c.plan.Y, 1e-9)
		near(t, c.name+" rise", f.Rise(c.plan), got.Y*math.Sin(c.plane.Slope*math.Pi/180), 1e-9)
	}
}

func TestAreasAndCoverage(t *testing.T) {
	r := mustRoof(t, hipRoof(math.Atan(0.5)*180/math.Pi)...) // 6:12
	near(t, "roof area in plan", r.TotalPlanArea(), 96, 1e-9)
	// At one slope all round, the surface is the plan over the cosine; 6:12 makes the factor sqrt(1.25), the roofers' 1.118.
	near(t, "roof area on the surface", r.TotalSurfaceArea(), 96*math.Sqrt(1.25), 1e-9)
	near(t, "east plane in plan", r.PlanArea(1), 16, 1e-9)
	c, err := r.Coverage([]Item{
		{"a", 0, RectAt(Point{4, 1}, 1, 2).Shape()},
		{"b", 1, RectAt(Point{4, 1}, 1, 2).Shape()},
	})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "modules in plan", c.Modules, 4/math.Sqrt(1.25), 1e-9)
	near(t, "coverage", c.Ratio, 4/math.Sqrt(1.25)/96, 1e-12)
	near(t, "coverage of the east plane", c.Planes[1], 2/math.Sqrt(1.25)/16, 1e-12)
	near(t, "coverage of the west plane", c.Planes[3], 0, 0)
	if _, err := r.Coverage([]Item{{"a", 9, Disc(Point{}, 1)}, {"b", 0, Shape{}}}); err == nil ||
		!strings.Contains(err.Error(), "no plane 9") || !strings.Contains(err.Error(), `item 1 "b"`) {
		t.Errorf("faulty items: %v", err)
	}
}

func TestPlanesOverlapping(t *testing.T) {
	a := Plane{Name: "a", Outline: []Point{{0, 0}, {10, 0}, {10, 4}, {0, 4}}, Slope: 30, Downslope: 180}
	b := Plane{Name: "b", Outline: []Point{{0, 3}, {10, 3}, {10, 8}, {0, 8}}, Slope: 30}
	r := mustRoof(t, a, b)
	if o := r.Overlaps(); len(o) != 1 || o[0].A != 0 || o[0].B != 1 || math.Abs(o[0].Area-10) > 1e-9 {
		t.Errorf("overlaps %v", o)
	}
	near(t, "ground covered", r.TotalPlanArea(), 80, 1e-9)
	if o := mustRoof(t, hipRoof(30)...).Overlaps(); len(o) != 0 {
		t.Errorf("a hip roof overlaps: %v", o)
	}
}

func TestNeighbours(t *testing.T) {
	r := mustRoof(t, hipRoof(30)...)
	for _, c := range []struct {
		plane int
		kinds []EdgeKind
		want  []int
	}{{0, nil, []int{1, 2, 3}}, {0, []EdgeKind{Hip}, []int{1, 3}}, {0, []EdgeKind{Ridge}, []int{2}}, {1, nil, []int{0, 2}}, {1, []EdgeKind{Valley}, nil}} {
		got := r.Neighbours(c.plane, c.kinds...)
		if len(got) != len(c.want) {
			t.Errorf("neighbours of %d: %v, want %v", c.plane, got, c.want)
			continue
		}
		for i := range got {
			if got[i] != c.want[i] {
				t.Errorf("neighbours of %d: %v, want %v", c.plane, got, c.want)
			}
		}
	}
}

// space is a point of the surface of a plane in three dimensions: plan place and height.
func space(r *Roof, plane int, p Point) (x, y, z float64) {
	q := r.Frame(plane).ToPlan(p)
	return q.X, q.Y, r.Frame(plane).Rise(q)
}

func TestUnfoldKeepsLengths(t *testing.T) {
	for _, slope := range []float64{0.01, 10, 26.565, 45, 70} {
		for _, planes := range [][]Plane{hipRoof(slope), valleyRoof(slope)} {
			r := mustRoof(t, planes...)
			flat, err := r.Unfold([]int{0, 1})
			if err != nil {
				t.Fatal(err)
			}
			// Every corner of either plane keeps its distance in space to both ends of the joining edge.
			var hinge Edge
			for _, e := range r.Edges(0) {
				if e.Neighbour == 1 {
					hinge = e
				}
			}
			for plane := range 2 {
				for _, c := range r.Outline(plane) {
					for _, end := range [2]Point{hinge.From, hinge.To} {
						p, _ := flat.Point(plane, c)
						q, _ := flat.Point(0, end)
						x0, y0, z0 := space(r, plane, c)
						x1, y1, z1 := space(r, 0, end)
						near(t, "flat distance", p.DistanceTo(q), math.Sqrt((x1-x0)*(x1-x0)+(y1-y0)*(y1-y0)+(z1-z0)*(z1-z0)), 1e-9)
					}
					p, _ := flat.Point(plane, c)
					back, ok := flat.Plan(p)
					if want := r.Frame(plane).ToPlan(c); !ok || back.DistanceTo(want) > 0.02 {
						t.Errorf("slope %g: corner %v comes back to plan as %v", slope, want, back)
					}
				}
			}
		}
	}
}

func TestUnfoldRefuses(t *testing.T) {
	r := mustRoof(t, hipRoof(30)...)
	for _, c := range []struct {
		planes []int
		want   string
	}{
		{nil, "no plane"}, {[]int{7}, "no plane 7"}, {[]int{0, 0}, "named twice"},
		{[]int{0, 2}, `plane "north" is not joined to plane "south"`}, {[]int{1, 3}, "not joined"},
	} {
		if _, err := r.Unfold(c.planes); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("planes %v: %v lacks %q", c.planes, err, c.want)
		}
	}
	if flat, err := r.Unfold([]int{0, 2}, Ridge); err != nil || len(flat.Planes()) != 2 {
		t.Errorf("across the ridge: %v", err)
	}
	flat, err := r.Unfold([]int{0, 1, 2})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := flat.Point(3, Point{}); err == nil {
		t.Error("a point of a plane that is not laid flat is carried")
	}
	if _, err := flat.Shape(3, Shape{}); err == nil || flat.Outline(3) != nil {
		t.Error("a shape of a plane that is not laid flat is carried")
	}
	if _, _, ok := flat.Surface(Point{-50, 0}); ok {
		t.Error("a point far off lies on a plane")
	}
}
