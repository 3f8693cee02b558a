package roofplan

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"
)

// common are the sizes of the table of common practice: 8 in and 12 in.
var common = Limits{Step: 0.2032, Near: 0.3048}

func jointRoof(t testing.TB, planes ...Plane) *Roof {
	t.Helper()
	r, err := New(planes, common)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// southNorth is a south and a north plane 10 m long and 4 m deep in plan, at 30 degrees, the north plane moved by a shift and raised by a height.
func southNorth(shift Point, up float64) []Plane {
	north := shifted([][]Point{{{0, 4}, {10, 4}, {10, 8}, {0, 8}}}, shift)[0]
	return []Plane{
		{Name: "south", Outline: []Point{{0, 0}, {10, 0}, {10, 4}, {0, 4}}, Slope: 30, Downslope: 180, Elevation: height(3)},
		{Name: "north", Outline: north, Slope: 30, Elevation: height(3 + up)},
	}
}

func doubtKinds(r *Roof) string {
	var all []string
	for _, d := range r.Doubts() {
		all = append(all, fmt.Sprintf("%s %d-%d", [...]string{"near miss", "height missing", "heights disagree"}[d.Kind], d.A, d.B))
	}
	return strings.Join(all, ", ")
}

func TestDoubts(t *testing.T) {
	stated := func(planes []Plane, plane int, kinds ...EdgeKind) []Plane {
		planes[plane].Kinds = kinds
		return planes
	}
	withoutHeight := func(planes []Plane, which ...int) []Plane {
		for _, i := range which {
			planes[i].Elevation = nil
		}
		return planes
	}
	high := func(south float64) []Plane { // a high roof whose eave stands over a low one
		return []Plane{
			{Name: "high", Outline: []Point{{0, 4}, {10, 4}, {10, 8}, {0, 8}}, Slope: 30, Downslope: 180, Elevation: height(6)},
			{Name: "low", Outline: []Point{{0, 0}, {10, 0}, {10, south}, {0, south}}, Slope: 10, Downslope: 180, Elevation: height(3)},
		}
	}
	turned := func(degrees float64) []Plane { // the north plane turned about the west end of the ridge
		planes := southNorth(Point{}, 0)
		sin, cos := sinCos(degrees)
		for i, p := range planes[1].Outline {
			d := p.sub(Point{0, 4})
			planes[1].Outline[i] = Point{cos*d.X - sin*d.Y, 4 + sin*d.X + cos*d.Y}
		}
		planes[1].Downslope -= degrees
		return planes
	}
	cases := []struct {
		name     string
		planes   []Plane
		kind     EdgeKind // of the south plane's upper edge
		doubts   string
		distance float64
	}{
		{"a gable", southNorth(Point{}, 0), Ridge, "", 0},
		{"drawn 9 mm apart", southNorth(Point{0, 0.009}, 0), Ridge, "", 0},
		{"half an inch apart", southNorth(Point{0, 0.0127}, 0), HighEave, "near miss 0-1", 0.0127},
		{"half an inch over one another", southNorth(Point{0, -0.0127}, 0), HighEave, "near miss 0-1", 0.0127},
		{"a foot apart", southNorth(Point{0, 0.3047}, 0), HighEave, "near miss 0-1", 0.3047},
		{"more than a foot apart", southNorth(Point{0, 0.306}, 0), HighEave, "", 0},
		{"half an inch apart and moved along", southNorth(Point{9.6, 0.0127}, 0), HighEave, "near miss 0-1", 0.0127},
		{"half an inch apart, beside each other for less than a foot", southNorth(Point{9.8, 0.0127}, 0), HighEave, "", 0},
		{"half an inch apart, heights not known", withoutHeight(southNorth(Point{0, 0.0127}, 0), 0, 1), HighEave, "near miss 0-1", 0.0127},
		{"half an inch apart and at heights that differ", southNorth(Point{0, 0.0127}, 0.4572), HighEave, "near miss 0-1", 0.0127},
		{"half an inch apart, stated as a high eave", stated(southNorth(Point{0, 0.0127}, 0), 0, 0, 0, HighEave, 0), HighEave, "", 0},
		{"half an inch apart, stated as a ridge on one plane", stated(southNorth(Point{0, 0.0127}, 0), 0, 0, 0, Ridge, 0), Ridge, "near miss 0-1", 0.0127},
		{"turned by a degree", turned(1), HighEave, "near miss 0-1", 0.1745},
		{"turned by eight degrees: near at one end", turned(8), HighEave, "near miss 0-1", 0.3048},
		{"turned by thirty degrees", turned(30), HighEave, "", 0},
		{"a foot and a half too high", southNorth(Point{}, 0.4572), Step, "heights disagree 0-1", 0.4572},
		{"a riser too high", southNorth(Point{}, 0.2), Ridge, "", 0},
		{"one height not known", withoutHeight(southNorth(Point{}, 0), 1), Ridge, "height missing 0-1", 0},
		{"no height known", withoutHeight(southNorth(Point{}, 0), 0, 1), Ridge, "height missing 0-1", 0},
		{"no height known, stated as a ridge", stated(withoutHeight(southNorth(Point{}, 0), 0, 1), 0, 0, 0, Ridge, 0), Ridge, "", 0},
		{"no height known, stated as a ridge by the other plane", stated(withoutHeight(southNorth(Point{}, 0), 0, 1), 1, Ridge, 0, 0, 0), Ridge, "", 0},
		{"too high, stated as a step", stated(southNorth(Point{}, 1), 0, 0, 0, Step, 0), Step, "", 0},
		{"a high eave just over a low roof", high(4.2), Eave, "", 0},
		{"a high eave just short of a low roof", high(3.8), Eave, "", 0},
		{"a high eave at a low roof", high(4), Step, "", 0},
	}
	for _, c := range cases {
		r := jointRoof(t, c.planes...)
		if got := doubtKinds(r); got != c.doubts {
			t.Errorf("%s: doubts %q, want %q", c.name, got, c.doubts)
			continue
		}
		edge := r.Edges(0)[0]
		for _, e := range r.Edges(0) {
			if c.planes[0].Name == "south" && e.Index == 2 && (edge.Index != 2 || e.Doubt != nil) {
				edge = e
			}
		}
		if edge.Kind != c.kind {
			t.Errorf("%s: %s, want %s", c.name, edge.Kind, c.kind)
		}
		for _, d := range r.Doubts() {
			near(t, c.name+" distance", d.Distance, c.distance, 1e-3)
			if d.Kind == NearMiss {
				near(t, c.name+" distance of its places", d.AtA.DistanceTo(d.AtB), d.Distance, 1e-9)
			}
			for _, word := range []string{`edge 3 of plane "south"`, `edge 1 of plane "north"`, fmt.Sprintf("(%.3f, %.3f)", d.AtA.X, d.AtA.Y)} {
				if !strings.Contains(d.Text, word) {
					t.Errorf("%s: %q lacks %q", c.name, d.Text, word)
				}
			}
			found := false
			for _, e := range r.Edges(1) {
				found = found || e.Doubt != nil
			}
			if !found {
				t.Errorf("%s: no edge of the other plane is in doubt", c.name)
			}
		}
	}
	if r, err := New(southNorth(Point{0, 0.0127}, 0), Limits{}); err != nil || len(r.Doubts()) != 0 {
		t.Errorf("without limits: %v, %v", r.Doubts(), err)
	}
	if r := jointRoof(t, valleyRoof(25)...); doubtKinds(r) != "height missing 0-1" {
		t.Errorf("a valley without heights: %s", doubtKinds(r))
	}
}

func TestStepsAlongAJoint(t *testing.T) {
	cases := []struct {
		name string
		up   float64
		kind EdgeKind
	}{{"level", 0, Break}, {"a riser", 0.2, Break}, {"half a metre up", 0.5, Step}, {"half a metre down", -0.5, Step}, {"a riser down", -0.2, Break}}
	for _, c := range cases {
		rise := 4 * math.Tan(30*math.Pi/180)
		r := jointRoof(t,
			Plane{Name: "lower", Outline: []Point{{0, 0}, {10, 0}, {10, 4}, {0, 4}}, Slope: 30, Downslope: 180, Elevation: height(3)},
			Plane{Name: "upper", Outline: []Point{{0, 4}, {10, 4}, {10, 8}, {0, 8}}, Slope: 15, Downslope: 180, Elevation: height(3 + rise + c.up)})
		for plane, sign := range []float64{1, -1} {
			for _, e := range r.Edges(plane) {
				if e.Neighbour < 0 {
					continue
				}
				if e.Kind != c.kind || e.Rise == nil || math.Abs(*e.Rise-sign*c.up) > 1e-9 || e.Doubt != nil || e.Beyond != e.Neighbour {
					t.Errorf("%s, plane %d: %+v, want %s and a rise of %g", c.name, plane, e, c.kind, sign*c.up)
				}
			}
		}
	}
}

func TestBeyond(t *testing.T) {
	type part struct {
		kind   EdgeKind
		length float64
		beyond int
		rise   float64
	}
	main := Plane{Name: "main", Outline: []Point{{0, 0}, {10, 0}, {10, 6}, {0, 6}}, Slope: 30, Downslope: 180, Elevation: height(6)}
	porch := Plane{Name: "porch", Outline: []Point{{2, -3}, {6, -3}, {6, 0.5}, {2, 0.5}}, Slope: 0, Downslope: 180, Elevation: height(3)}
	wall := Plane{Name: "above", Outline: []Point{{-1, 5.9}, {11, 5.9}, {11, 9}, {-1, 9}}, Slope: 10, Downslope: 180, Elevation: height(12)}
	ground := Plane{Name: "yard", Outline: []Point{{-9, -9}, {20, -9}, {20, 1}, {-9, 1}}, Ground: true, Elevation: height(0)}
	cases := []struct {
		name   string
		planes []Plane
		edge   int // of the main plane
		want   []part
	}{
		{"over a porch for a part", []Plane{main, porch}, 0, []part{{Eave, 2, -1, 0}, {Eave, 4, 1, -3}, {Eave, 4, -1, 0}}},
		{"over ground", []Plane{main, ground}, 0, []part{{Eave, 10, -1, 0}}},
		{"under a higher roof", []Plane{main, wall}, 2, []part{{HighEave, 10, 1, 6 + 0.1*math.Tan(math.Pi/18) - 6*math.Tan(math.Pi/6)}}},
		{"both", []Plane{main, porch, wall}, 0, []part{{Eave, 2, -1, 0}, {Eave, 4, 1, -3}, {Eave, 4, -1, 0}}},
	}
	for _, c := range cases {
		r := jointRoof(t, c.planes...)
		var got []part
		for _, e := range r.Edges(0) {
			if e.Index != c.edge {
				continue
			}
			p := part{e.Kind, e.Length(), e.Beyond, 0}
			if e.Rise != nil {
				p.rise = *e.Rise
			}
			got = append(got, p)
		}
		if !slices.EqualFunc(got, c.want, func(a, b part) bool {
			return a.kind == b.kind && math.Abs(a.length-b.length) < 1e-9 && a.beyond == b.beyond && math.Abs(a.rise-b.rise) < 1e-9
		}) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	unknown := porch
	unknown.Elevation = nil
	for _, e := range jointRoof(t, main, unknown).Edges(0) {
		if e.Index == 0 && e.Beyond == 1 && e.Rise != nil {
			t.Errorf("a rise over a plane of unknown height: %g", *e.Rise)
		}
	}
}

// A court in a flat roof, and a dormer's flat roof in a hole of a slope.
func TestHoles(t *testing.T) {
	court := []Point{{4, 2}, {4, 5}, {8, 5}, {8, 2}}
	flat := Plane{Name: "flat", Outline: []Point{{0, 0}, {12, 0}, {12, 7}, {0, 7}}, Holes: [][]Point{court}, Downslope: 180, Elevation: height(3)}
	fill := Plane{Name: "fill", Outline: court, Downslope: 180, Elevation: height(3)}
	r := jointRoof(t, flat)
	near(t, "area in plan", r.PlanArea(0), 84-12, 1e-12)
	near(t, "area of the roof", r.TotalPlanArea(), 84-12, 1e-12)
	if got := r.HoleOutlines(0); len(got) != 1 || signedArea(got[0]) > 0 {
		t.Errorf("holes %v are not clockwise", got)
	}
	if got := kindsWithHoles(r, 0); got != "eave, rake, high eave, rake | rake, eave, rake, high eave" {
		t.Errorf("edges of a court: %s", got)
	}
	if got := r.rings[0]; !slices.Equal(got, []int{0, 4}) || r.next(0, 3) != 0 || r.next(0, 7) != 4 || r.next(0, 5) != 6 {
		t.Errorf("rings begin at %v, and after 3, 7 and 5 come %d, %d and %d", got, r.next(0, 3), r.next(0, 7), r.next(0, 5))
	}
	for _, e := range r.Edges(0)[4:] { // the plane lies on the left
		m := e.From.toward(e.To, 0.5).add(e.To.sub(e.From).unit().left().mul(0.1))
		if planeDistance(r.surface(0), m) > 0 {
			t.Errorf("the plane does not lie on the left of %v to %v", e.From, e.To)
		}
	}
	filled := jointRoof(t, flat, fill)
	for _, e := range filled.Edges(1) {
		if e.Kind != Break || e.Neighbour != 0 || filled.edges[0][e.mate].mate < 0 {
			t.Errorf("an edge of what fills a hole: %+v", e)
		}
	}
	if len(filled.Overlaps()) != 0 {
		t.Errorf("what fills a hole overlaps: %v", filled.Overlaps())
	}
	if got := filled.Sides(); len(got) != 1 {
		t.Errorf("sides %v", got)
	}
	for _, c := range []struct {
		name  string
		shape Shape
		over  float64
	}{
		{"clear of the hole", RectAt(Point{1, 1}, 2, 1).Shape(), 0},
		{"half over it", RectAt(Point{7, 3}, 2, 1).Shape(), 0.5},
		{"in it", RectAt(Point{5, 3}, 1, 1).Shape(), 1},
		{"all over it", RectAt(Point{3, 1}, 6, 5).Shape(), 1},
		{"a disc at its edge", Disc(Point{8.2, 3}, 0.5), 0.3},
	} {
		got := 0.0
		for _, s := range r.Strays([]Item{{"it", 0, c.shape}}, 1e-6) {
			got = s.Beyond
		}
		if (got > 0) != (c.over > 0) || got < c.over-1e-9 {
			t.Errorf("%s: reaches over by %g, want %g at least", c.name, got, c.over)
		}
	}
	stated := flat
	stated.Kinds = []EdgeKind{0, 0, 0, 0, Parapet, 0, Wall, 0}
	r = jointRoof(t, stated)
	for _, e := range r.Edges(0) {
		if e.Index == 4 && e.Kind != Parapet || e.Index == 6 && e.Kind != Wall || e.Index < 4 && (e.Kind == Wall || e.Kind == Parapet) {
			t.Errorf("stated edges of a hole: %+v", e)
		}
	}
}

func kindsWithHoles(r *Roof, plane int) string {
	var rings []string
	for k, first := range r.rings[plane] {
		last := len(r.edges[plane])
		if k+1 < len(r.rings[plane]) {
			last = r.rings[plane][k+1]
		}
		var kinds []string
		for _, e := range r.edges[plane][first:last] {
			kinds = append(kinds, e.Kind.String())
		}
		rings = append(rings, strings.Join(kinds, ", "))
	}
	return strings.Join(rings, " | ")
}

func TestOverlapsByHeight(t *testing.T) {
	main := Plane{Name: "main", Outline: []Point{{0, 0}, {12, 0}, {12, 6}, {0, 6}}, Slope: 30, Downslope: 180, Elevation: height(3)}
	tan := math.Tan(math.Pi / 6)
	shed := func(z *float64) Plane {
		return Plane{Name: "dormer", Outline: []Point{{4, 1}, {7, 1}, {7, 4}, {4, 4}}, Slope: 10, Downslope: 180, Elevation: z}
	}
	cases := []struct {
		name  string
		other Plane
		above int
		under []int // planes with covered parts
	}{
		// The dormer's roof meets the main plane at its top edge.
		{"a shed dormer", shed(height(3 + 4*tan - 3*math.Tan(math.Pi/18))), 1, []int{0}},
		{"below the main plane", shed(height(1)), 0, []int{1}},
		{"of unknown height", shed(nil), -1, []int{0, 1}},
		{"through the main plane", shed(height(4.2)), -1, []int{0, 1}},
		{"the plane drawn twice", Plane{Name: "again", Outline: main.Outline, Slope: 30, Downslope: 180, Elevation: height(3)}, -1, []int{0, 1}},
	}
	for _, c := range cases {
		r := jointRoof(t, main, c.other)
		o := r.Overlaps()
		if len(o) != 1 || o[0].Above != c.above {
			t.Errorf("%s: %+v, want plane %d above", c.name, o, c.above)
			continue
		}
		near(t, c.name+" area", o[0].Area, r.PlanArea(1), 1e-9)
		if (o[0].Rise == nil) != (c.other.Elevation == nil) {
			t.Errorf("%s: rise %v", c.name, o[0].Rise)
		}
		var planes []int
		area := map[int]float64{}
		for _, it := range r.Covered() {
			planes = append(planes, it.Plane)
			area[it.Plane] += it.Shape.Area() * r.frames[it.Plane].cos
			if want := "roof plane " + r.planes[1-it.Plane].Name; it.Name != want {
				t.Errorf("%s: covered by %q, want %q", c.name, it.Name, want)
			}
		}
		if got := sorted(planes); !slices.Equal(got, c.under) {
			t.Errorf("%s: planes %v are covered, want %v", c.name, got, c.under)
		}
		for p, a := range area {
			near(t, fmt.Sprintf("%s: covered part of plane %d", c.name, p), a, o[0].Area, 1e-9)
		}
	}
	yard := Plane{Name: "yard", Outline: []Point{{-20, -20}, {20, -20}, {20, 20}, {-20, 20}}, Ground: true}
	if o := jointRoof(t, main, yard).Overlaps(); len(o) != 0 {
		t.Errorf("a roof over open ground: %+v", o)
	}
}

func TestMisstatedEdges(t *testing.T) {
	kinds := func(planes []Plane, k ...EdgeKind) []Plane { planes[0].Kinds = k; return planes }
	unknown := southNorth(Point{}, 0)
	unknown[0].Elevation = nil
	cases := []struct {
		name   string
		planes []Plane
		want   string
	}{
		{"as drawn", kinds(southNorth(Point{}, 0), Eave, Rake, Ridge, Rake), ""},
		{"a ridge on a rake", kinds(southNorth(Point{}, 0), 0, Ridge, 0, 0), "1 ridge: is not level"},
		{"an eave on a rake", kinds(southNorth(Point{}, 0), 0, Eave, 0, 0), "1 eave: is not level"},
		{"a ridge at the foot", kinds(southNorth(Point{}, 0), Ridge, 0, 0, 0), "0 ridge: is a lower edge"},
		{"an eave where planes meet", kinds(southNorth(Point{}, 0), 0, 0, Eave, 0), `2 eave: meets plane "north" at one height`},
		{"a step where planes meet", kinds(southNorth(Point{}, 0), 0, 0, Step, 0), `2 step: meets plane "north" at one height`},
		{"a parapet where planes meet", kinds(southNorth(Point{}, 0), 0, 0, Parapet, 0), ""},
		{"a step where heights are not known", kinds(unknown, 0, 0, Step, 0), ""},
		{"a ridge at a step", kinds(southNorth(Point{}, 1), 0, 0, Ridge, 0), `2 ridge: does not meet plane "north": slopes or heights keep them apart`},
		{"a ridge whose other side is not drawn", kinds(southNorth(Point{}, 0)[:1], 0, 0, Ridge, 0), ""},
		{"an eave at the top", kinds(southNorth(Point{}, 0)[:1], 0, 0, Eave, 0), "2 eave: is an upper edge"},
	}
	for _, c := range cases {
		var got []string
		for _, m := range jointRoof(t, c.planes...).Misstatements() {
			got = append(got, fmt.Sprintf("%d %s: %s", m.Edge, m.Stated, m.Found))
		}
		if strings.Join(slices.Compact(got), "; ") != c.want && !(len(got) == 2 && strings.HasPrefix(strings.Join(got, "; "), c.want)) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// summary is what must not change when a roof is turned, mirrored, moved, or its planes come in another order: lengths of each kind of edge of
// each plane, doubts, areas, and common ground.
func summary(r *Roof) string {
	var lines []string
	for i := range r.Len() {
		length := map[string]float64{}
		for _, e := range r.Edges(i) {
			key := e.Kind.String()
			if e.Beyond >= 0 {
				key += " at " + r.Plane(e.Beyond).Name
			}
			if e.Rise != nil {
				key += fmt.Sprintf(" rising %.1f", *e.Rise+0.023)
			}
			if e.Doubt != nil {
				key += fmt.Sprintf(" in doubt %d", e.Doubt.Kind)
			}
			length[key] += e.Length()
		}
		for k, l := range length {
			lines = append(lines, fmt.Sprintf("%s: %s %.2f m", r.Plane(i).Name, k, l+0.001))
		}
		lines = append(lines, fmt.Sprintf("%s: %.3f m2 in plan, %.3f m2", r.Plane(i).Name, r.PlanArea(i), r.SurfaceArea(i)))
	}
	for _, d := range r.Doubts() {
		a, b := r.Plane(d.A).Name, r.Plane(d.B).Name
		lines = append(lines, fmt.Sprintf("doubt %d between %s and %s: %.2f m", d.Kind, min(a, b), max(a, b), d.Distance+0.001))
	}
	for _, o := range r.Overlaps() {
		above := "none"
		if o.Above >= 0 {
			above = r.Plane(o.Above).Name
		}
		a, b := r.Plane(o.A).Name, r.Plane(o.B).Name
		lines = append(lines, fmt.Sprintf("%s and %s overlap by %.3f m2, above %s", min(a, b), max(a, b), o.Area, above))
	}
	slices.Sort(lines)
	return strings.Join(append(lines, fmt.Sprintf("whole %.3f m2", r.TotalPlanArea())), "\n")
}

// carried is a roof moved in plan, mirrored first where asked.
func carried(planes []Plane, m motion, degrees float64, mirror bool) []Plane {
	put := func(ring []Point) []Point {
		var out []Point
		for _, p := range ring {
			if mirror {
				p.X = -p.X
			}
			out = append(out, m.apply(p))
		}
		return out
	}
	var all []Plane
	for _, p := range planes {
		p.Outline = put(p.Outline)
		holes := p.Holes
		p.Holes = nil
		for _, h := range holes {
			p.Holes = append(p.Holes, put(h))
		}
		if mirror {
			p.Downslope = -p.Downslope
		}
		p.Downslope -= degrees
		all = append(all, p)
	}
	return all
}

// examples are roofs of several planes, with joints, doubts, holes and overlaps.
func exampleRoofs() map[string][]Plane {
	tan := math.Tan(25 * math.Pi / 180)
	hip := hipRoof(25)
	for i := range hip {
		hip[i].Elevation = height(3)
	}
	dormer := slices.Clone(hip)
	dormer[0].Holes = [][]Point{{{5, 1}, {7, 1}, {7, 3}, {5, 3}}}
	dormer = append(dormer, Plane{Name: "dormer", Outline: []Point{{5, 1}, {7, 1}, {7, 3}, {5, 3}}, Slope: 5, Downslope: 180, Elevation: height(3 + 3*tan - 2*math.Tan(5*math.Pi/180))})
	over := slices.Clone(hip)
	over = append(over, dormer[4])
	apart := slices.Clone(hip)
	apart[2].Outline = shifted([][]Point{apart[2].Outline}, Point{0, 0.0127})[0]
	porch := append(southNorth(Point{}, 0), Plane{Name: "porch", Outline: []Point{{2, -3}, {6, -3}, {6, 0.4}, {2, 0.4}}, Slope: 3, Downslope: 180, Elevation: height(2)})
	unknown := valleyRoof(25)
	return map[string][]Plane{"hip": hip, "hip with a dormer in a hole": dormer, "hip with a dormer drawn over it": over, "hip drawn apart": apart,
		"gable with a porch": porch, "valley without heights": unknown, "gable at two heights": southNorth(Point{}, 0.6), "gable apart": southNorth(Point{3, 0.05}, 0)}
}

func TestTheSameRoofHoweverItLies(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	for name, planes := range exampleRoofs() {
		want := summary(jointRoof(t, planes...))
		for k := range 24 {
			degrees, mirror := 360*rng.Float64(), k%2 == 1
			if k < 8 {
				degrees = float64(k/2) * 90
			}
			far := 1.0
			if k%3 == 0 {
				far = 1e5
			}
			sin, cos := sinCos(degrees)
			moved := carried(planes, motion{cos: cos, sin: sin, shift: Point{far * rng.Float64(), far * rng.Float64()}}, degrees, mirror)
			rng.Shuffle(len(moved), func(i, j int) { moved[i], moved[j] = moved[j], moved[i] })
			if got := summary(jointRoof(t, moved...)); got != want {
				t.Fatalf("%s, turned by %g, mirrored: %v, farthest %g m:\n%s\nwant\n%s", name, degrees, mirror, far, got, want)
			}
		}
	}
}

// A plane drawn in two parts, cut along any line, is one plane with a break in it.
func TestAPlaneInTwoParts(t *testing.T) {
	for seed := int64(1); seed <= few(int64(60)); seed++ {
		rng := rand.New(rand.NewSource(seed))
		planes := southNorth(Point{}, 0)
		whole := jointRoof(t, planes...)
		low, high := 1+8*rng.Float64(), 1+8*rng.Float64()
		tan := math.Tan(math.Pi / 6)
		parts := []Plane{
			{Name: "west", Outline: []Point{{0, 0}, {low, 0}, {high, 4}, {0, 4}}, Slope: 30, Downslope: 180, Elevation: height(3)},
			{Name: "east", Outline: []Point{{low, 0}, {10, 0}, {10, 4}, {high, 4}}, Slope: 30, Downslope: 180, Elevation: height(3)},
			planes[1],
		}
		if seed%2 == 0 { // across the slope
			at := 1 + 2*rng.Float64()
			parts[0].Outline = []Point{{0, 0}, {10, 0}, {10, at}, {0, at}}
			parts[1].Outline, parts[1].Elevation = []Point{{0, at}, {10, at}, {10, 4}, {0, 4}}, height(3+at*tan)
		}
		r := jointRoof(t, parts...)
		length := map[EdgeKind]float64{}
		for i := range r.Len() {
			for _, e := range r.Edges(i) {
				if e.Kind == Break != (i < 2 && e.Neighbour >= 0 && e.Neighbour < 2) {
					t.Errorf("roof %d: %s between planes %d and %d", seed, e.Kind, i, e.Neighbour)
				}
				length[e.Kind] += e.Length()
			}
		}
		for i := range whole.Len() {
			for _, e := range whole.Edges(i) {
				length[e.Kind] -= e.Length()
			}
		}
		for k, l := range length {
			if k != Break && math.Abs(l) > 1e-6 {
				t.Errorf("roof %d: %s is %g m longer in two parts", seed, k, l)
			}
		}
		near(t, "area in two parts", r.SurfaceArea(0)+r.SurfaceArea(1), whole.SurfaceArea(0), 1e-9)
		if len(r.Doubts()) != 0 || len(r.Sides()) != 2 {
			t.Errorf("roof %d: doubts %v, sides %v", seed, r.Doubts(), r.Sides())
		}
	}
}

// A gable dormer in an opening of a slope: its two planes meet the slope in valleys, stand over it at the cheeks and at the front, and meet each
// other in a ridge. Without heights only the valleys and the ridge are in doubt: nothing can meet at the cheeks and the front.
func TestGableDormer(t *testing.T) {
	tan := math.Tan(math.Pi / 6)
	hole := []Point{{4, 1}, {8, 1}, {8, 2.5}, {6, 4.5}, {4, 2.5}}
	eaves := height(3 + 2.5*tan)
	planes := []Plane{
		{Name: "main", Outline: []Point{{0, 0}, {12, 0}, {12, 6}, {0, 6}}, Holes: [][]Point{hole}, Slope: 30, Downslope: 180, Elevation: height(3)},
		{Name: "west", Outline: []Point{{4, 1}, {6, 1}, {6, 4.5}, {4, 2.5}}, Slope: 30, Downslope: 270, Elevation: eaves},
		{Name: "east", Outline: []Point{{6, 1}, {8, 1}, {8, 2.5}, {6, 4.5}}, Slope: 30, Downslope: 90, Elevation: eaves},
	}
	r := jointRoof(t, planes...)
	if got := kindsWithHoles(r, 0); got != "eave, rake, high eave, rake | step, valley, valley, step, step, step" {
		t.Errorf("edges of the slope: %s", got)
	}
	for i, want := range []string{1: "step, ridge, valley, step", 2: "step, step, valley, ridge"} {
		if want != "" && kindsOf(r, i) != want {
			t.Errorf("edges of plane %d: %s, want %s", i, kindsOf(r, i), want)
		}
	}
	if len(r.Doubts()) != 0 || len(r.Overlaps()) != 0 || len(r.Sides()) != 3 {
		t.Errorf("doubts %v, overlaps %v, sides %v", r.Doubts(), r.Overlaps(), r.Sides())
	}
	for i := range planes {
		planes[i].Elevation = nil
	}
	r = jointRoof(t, planes...)
	if got := doubtKinds(r); got != "height missing 0-1, height missing 0-2, height missing 1-2" {
		t.Errorf("doubts without heights: %s", got)
	}
	for i := range r.Len() {
		for _, e := range r.Edges(i) {
			if (e.Doubt != nil) != (e.Kind == Valley || e.Kind == Ridge) {
				t.Errorf("plane %d: %s, in doubt: %v", i, e.Kind, e.Doubt)
			}
		}
	}
}

// BenchmarkNew is a roof of forty planes, gables side by side, with a dormer drawn over each second plane.
func BenchmarkNew(b *testing.B) {
	var planes []Plane
	for k := range 20 {
		shift := Point{0, 8 * float64(k)}
		for _, p := range southNorth(Point{}, 0) {
			p.Name = fmt.Sprint(p.Name, k)
			p.Outline = shifted([][]Point{p.Outline}, shift)[0]
			planes = append(planes, p)
		}
		over := shifted([][]Point{{{4, 1}, {7, 1}, {7, 3}, {4, 3}}}, shift)[0]
		planes = append(planes, Plane{Name: fmt.Sprint("dormer", k), Outline: over, Slope: 5, Downslope: 180, Elevation: height(5)})
	}
	for b.Loop() {
		if r := jointRoof(b, planes...); len(r.Overlaps()) != 20 || len(r.Covered()) == 0 {
			b.Fatal(len(r.Overlaps()))
		}
	}
}

// Whatever planes are drawn over and beside each other, the edges of each are its whole border in order, shared edges are seen alike from both
// sides, and covered parts lie on their planes.
func TestEdgesAreTheWholeBorder(t *testing.T) {
	for seed := int64(1); seed <= few(int64(300)); seed++ {
		rng := rand.New(rand.NewSource(seed))
		grid := func(n int) float64 { return float64(rng.Intn(n)) }
		var planes []Plane
		for k := range 2 + rng.Intn(7) {
			x, y, w, d := grid(8), grid(8), 1+grid(6), 1+grid(6)
			p := Plane{Name: fmt.Sprint("p", k), Slope: 5 * grid(7), Downslope: 90 * grid(4), Outline: []Point{{x, y}, {x + w, y}, {x + w, y + d}, {x, y + d}}}
			if rng.Intn(3) > 0 {
				p.Elevation = height(3 + grid(3)/2)
			}
			if rng.Intn(3) == 0 {
				p.Outline[2].X -= grid(3) / 3
			}
			if rng.Intn(4) == 0 {
				p.Outline = shifted([][]Point{p.Outline}, Point{grid(5) / 50, grid(5) / 50})[0]
			}
			if w > 2 && d > 2 && rng.Intn(3) == 0 {
				p.Holes = [][]Point{{{x + w/2, y + d/2}, {x + w/2 + 0.4, y + d/2}, {x + w/2, y + d/2 + 0.4}}}
			}
			planes = append(planes, p)
		}
		r := jointRoof(t, planes...)
		for i := range r.Len() {
			rings, edges := r.surface(i), r.Edges(i)
			if len(r.rings[i]) != len(rings) {
				t.Fatalf("roof %d: %d rings of plane %d, want %d", seed, len(r.rings[i]), i, len(rings))
			}
			for k, e := range edges {
				next := edges[r.next(i, k)]
				if e.To.DistanceTo(next.From) > 3*Tolerance {
					t.Errorf("roof %d, plane %d: edge %d ends at %v and the next begins at %v", seed, i, k, e.To, next.From)
				}
				if e.Neighbour >= 0 {
					m := r.Mate(e)
					if m.Neighbour != i || m.Kind != e.Kind || (m.Doubt == nil) != (e.Doubt == nil) || m.Beyond != i || r.Mate(m).Index != e.Index {
						t.Errorf("roof %d: %+v and its other side %+v", seed, e, m)
					}
				}
			}
			var round, length float64
			for _, ring := range rings {
				round += girth(ring)
			}
			for _, e := range edges {
				length += e.Length()
			}
			near(t, fmt.Sprintf("roof %d, plane %d: length of the edges", seed, i), length, round, 0.1)
		}
		for _, it := range r.Covered() {
			for _, c := range it.Shape.Corners() {
				if planeDistance(r.surface(it.Plane), c) > 1e-6 {
					t.Errorf("roof %d: a covered part of plane %d reaches out to %v", seed, it.Plane, c)
				}
			}
		}
		ground := r.TotalPlanArea()
		var sum float64
		for i := range r.Len() {
			sum += r.PlanArea(i)
		}
		if ground > sum+1e-6 {
			t.Errorf("roof %d covers %g m2, its planes %g", seed, ground, sum)
		}
	}
}
