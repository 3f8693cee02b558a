package roofplan

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand"
	"strings"
	"testing"
)

const crew = 0.9144 // 36 in

// level is a roof without slope, drawn on its own surface.
func level(outline ...Point) Plane { return Plane{Name: "p", Outline: outline, Downslope: 180} }

func rect(x, y, w, h float64) Shape { return RectAt(Point{x, y}, w, h).Shape() }

func itemsOf(shapes ...Shape) []Item {
	var items []Item
	for i, s := range shapes {
		items = append(items, Item{Name: fmt.Sprintf("thing %d", i), Shape: s})
	}
	return items
}

func TestPathOnTrickyRoofs(t *testing.T) {
	box := []Point{{0, 0}, {10, 0}, {10, 6}, {0, 6}}
	ell := []Point{{0, 0}, {4, 0}, {4, 3}, {10, 3}, {10, 6}, {0, 6}}
	you := []Point{{0, 0}, {3, 0}, {3, 4}, {7, 4}, {7, 0}, {10, 0}, {10, 6}, {0, 6}}
	// Stated as a rake, the eave inside the corner or between the legs is no place for a ladder.
	ledges := map[int][]EdgeKind{6: {0, 0, Rake, 0, 0, 0}, 8: {0, 0, Rake, 0, 0, 0, 0, 0}}
	cases := []struct {
		name    string
		outline []Point
		things  []Shape
		widest  float64
		gate    [2]string // names of its ends, in either order
		inner   bool      // a ladder reaches the inner eave
	}{
		{"bare", box, nil, 10, [2]string{"rake", "rake"}, false},
		{"way at one side", box, []Shape{rect(0.5, 0, 8, 6)}, 1.5, [2]string{"rake", "thing 0"}, false},
		{"way at the exact width", box, []Shape{rect(0.3, 0.5, 10-0.3-crew, 5)}, crew, [2]string{"rake", "thing 0"}, false},
		{"way between arrays", box, []Shape{rect(0, 1, 4, 4), rect(5.2, 1, 4.8, 4)}, 1.2, [2]string{"thing 0", "thing 1"}, false},
		{"vent in the way", box, []Shape{rect(0, 1, 4, 4), rect(6, 1, 4, 4), Disc(Point{5.2, 3}, 0.1)}, 1.1, [2]string{"thing 0", "thing 2"}, false},
		{"vent beside the way, between arrays", box, []Shape{rect(0, 1, 4, 4), rect(6, 1, 4, 4), Disc(Point{4.05, 3}, 0.1)}, 1.85, [2]string{"thing 1", "thing 2"}, false},
		{"wall to wall", box, []Shape{rect(0, 2, 10, 1)}, 0, [2]string{"rake", "thing 0"}, false},
		{"zig-zag", box, []Shape{rect(0, 1, 8.5, 1), rect(1.5, 3, 8.5, 1), rect(0, 5, 8.6, 0.5)}, 1, [2]string{"thing", "thing"}, false},
		{"zig-zag, narrow at its third turn", box, []Shape{rect(0, 1, 8, 0.5), rect(2, 3, 8, 0.5), rect(0, 5, 9.3, 0.5)}, 0.7, [2]string{"rake", "thing 2"}, false},
		{"diagonal gap", box, []Shape{rect(0, 0.5, 5, 2), rect(5.6, 3.3, 4.4, 2)}, 1, [2]string{"thing 0", "thing 1"}, false},
		{"turned obstruction", box, []Shape{Rect{Centre: Point{5, 3}, Width: 4 * math.Sqrt2, Height: 4 * math.Sqrt2, Turn: 45}.Shape()}, 1, [2]string{"rake", "thing 0"}, false},
		{"L shape, way over its arm", ell, []Shape{rect(0.5, 4.2, 8, 1.8)}, 1.2, [2]string{"", "thing 0"}, false},
		{"L shape, arm shut", ell, []Shape{rect(0, 1, 4, 0.5)}, 0, [2]string{"rake", "thing 0"}, false},
		{"L shape, way up from the inner eave", ell, []Shape{rect(0.5, 4.2, 8, 1.8)}, 1.5, [2]string{"rake", "thing 0"}, true},
		{"L shape, arm shut below the inner eave", ell, []Shape{rect(0, 1, 4, 0.5)}, 6, [2]string{"rake", "rake"}, true},
		{"U shape, both legs narrow, up from the inner eave", you, []Shape{rect(0, 1, 2, 1), rect(7.8, 2, 2.2, 1)}, 4, [2]string{"eave", "eave"}, true},
		{"U shape, one leg shut", you, []Shape{rect(0, 1, 3, 1)}, 3, [2]string{"", ""}, false},
		{"U shape, both legs narrow", you, []Shape{rect(0, 1, 2, 1), rect(7.8, 2, 2.2, 1)}, 1, [2]string{"rake", "thing 0"}, false},
		{"discs in a row", box, []Shape{Disc(Point{2, 3}, 0.9), Disc(Point{5, 3}, 0.9), Disc(Point{8, 3}, 0.9)}, 1.2, [2]string{"thing", "thing"}, false},
		{"pocket that leads nowhere", box, []Shape{rect(0, 4, 4, 1), rect(4, 1, 1, 4), rect(6, 1, 1, 4), rect(7, 1, 3, 1)}, 1, [2]string{"thing 1", "thing 2"}, false},
	}
	for _, c := range cases {
		plane := level(c.outline...)
		if !c.inner {
			plane.Kinds = ledges[len(c.outline)]
		}
		r := mustRoof(t, plane)
		items := itemsOf(c.things...)
		p, err := r.Path([]int{0}, items, crew)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		near(t, c.name+": widest", p.Widest, c.widest, 1e-9)
		if want := c.widest >= crew*(1-1e-9); p.Exists != want {
			t.Errorf("%s: exists %v, want %v", c.name, p.Exists, want)
		}
		near(t, c.name+": short", p.Short, max(0, crew-c.widest)*map[bool]float64{true: 0, false: 1}[p.Exists], 1e-9)
		near(t, c.name+": gate", p.Gate.A.Point.DistanceTo(p.Gate.B.Point), c.widest, 1e-9)
		a, b := p.Gate.A.Name, p.Gate.B.Name
		is := func(a, b string) bool { return strings.HasPrefix(a, c.gate[0]) && strings.HasPrefix(b, c.gate[1]) }
		if !is(a, b) && !is(b, a) {
			t.Errorf("%s: gate between %q and %q", c.name, a, b)
		}
		checkPath(t, r, p, items, crew)
	}
}

func TestPathAtTheLimit(t *testing.T) {
	r := mustRoof(t, level(Point{0, 0}, Point{10, 0}, Point{10, 6}, Point{0, 6}))
	for _, c := range []struct {
		gap  float64
		want bool
	}{{crew, true}, {crew * (1 - 1e-10), true}, {crew * (1 - 1e-8), false}, {crew + 1e-12, true}, {crew - 0.001, false}} {
		p, err := r.Path([]int{0}, itemsOf(rect(0, 1, 5, 4), rect(5+c.gap, 1, 5-c.gap, 4)), crew)
		if err != nil || p.Exists != c.want {
			t.Errorf("gap %.12g: exists %v, %v", c.gap, p.Exists, err)
		}
	}
}

// On a plane without a level top the way ends where the plane has become as narrow as the crew.
func TestPathOnHipPlane(t *testing.T) {
	r := mustRoof(t, hipRoof(30)...)
	rise := 4 / math.Cos(30*math.Pi/180)
	array := func(x float64) Item { return Item{"array", 1, rect(x, 0.2, 1, rise-1.2)} }
	cases := []struct {
		name   string
		items  []Item
		exists bool
		widest float64
	}{
		{"bare", nil, true, 8},
		{"items of another plane", []Item{{"other", 0, rect(4, 1, 4, 1)}}, true, 8},
		{"in the middle, both ways shut at the top", []Item{array(3.5)}, false, -1},
		{"vent at the top", []Item{{"vent", 1, Disc(Point{4, rise - 1.2}, 0.1)}}, false, -1},
		{"vent close to the top corner", []Item{{"vent", 1, Disc(Point{4, rise - 0.15}, 0.05)}}, false, -1},
		{"vent at the side", []Item{{"vent", 1, Disc(Point{1.2, 0.7}, 0.1)}}, true, -1},
	}
	for _, c := range cases {
		p, err := r.Path([]int{1}, c.items, crew)
		if err != nil {
			t.Fatal(err)
		}
		if p.Exists != c.exists {
			t.Errorf("%s: exists %v, widest %g", c.name, p.Exists, p.Widest)
		}
		if c.widest > 0 {
			near(t, c.name+": widest", p.Widest, c.widest, 1e-9)
		}
		if p.Exists && p.Centre == nil {
			t.Errorf("%s: no centre line", c.name)
		}
	}
	if p, err := r.Path([]int{1}, nil, 8.5); err != nil || p.Exists || math.Abs(p.Short-0.5) > 1e-9 {
		t.Errorf("a crew wider than the eave: %v, exists %v, short %g", err, p.Exists, p.Short)
	}
}

// A way that exists only by straddling a hip or a valley.
func TestPathByStraddling(t *testing.T) {
	for _, c := range []struct {
		name   string
		planes []Plane
		items  func(r *Roof) []Item
	}{
		{"hip", hipRoof(30), func(r *Roof) []Item {
			// Modules on both planes in stairs 0.5 m from the hip: neither plane alone leaves a crew's width beside it.
			var items []Item
			for k := range 8 {
				y := 0.05 + float64(k)*0.5
				hip := 12 - (y+0.45)*math.Cos(30*math.Pi/180) // x of the hip at the top of the row
				if hip-0.62 > 0.5+(12-hip) {
					items = append(items, Item{"s", 0, rect(0.5+(12-hip), y, hip-0.62-(0.5+12-hip), 0.45)})
				}
				if w := 8 - 2*(12-hip) - 1.12; w > 0.1 {
					items = append(items, Item{"e", 1, rect(12-hip+0.62, y, w, 0.45)})
				}
			}
			return items
		}},
		{"valley", valleyRoof(30), func(r *Roof) []Item {
			var items []Item
			for k := range 8 {
				y := 0.05 + float64(k)*0.55
				valley := y * math.Cos(30*math.Pi/180) // how far the valley has run aside at the foot of the row
				items = append(items,
					Item{"m", 0, rect(0.1, y, 6+valley-0.62-0.1, 0.5)},
					Item{"w", 1, rect(0.62-valley, y, 5.3+valley, 0.5)})
			}
			return items
		}},
	} {
		r := mustRoof(t, c.planes...)
		items := c.items(r)
		var kept []Item
		for _, it := range items {
			if len(r.Strays([]Item{it}, 1e-6)) == 0 {
				kept = append(kept, it)
			}
		}
		if len(kept) < 6 {
			t.Fatalf("%s: only %d modules stand on the planes", c.name, len(kept))
		}
		both, err := r.Path([]int{0, 1}, kept, crew)
		if err != nil {
			t.Fatal(err)
		}
		one, err := r.Path([]int{0}, kept, crew)
		if err != nil {
			t.Fatal(err)
		}
		if one.Exists || !both.Exists {
			t.Errorf("%s: alone %v (%.3f), straddling %v (%.3f, gate %v)", c.name, one.Exists, one.Widest, both.Exists, both.Widest, both.Gate)
		}
		checkPath(t, r, both, kept, crew)
	}
}

func TestPathRefuses(t *testing.T) {
	r := mustRoof(t, hipRoof(30)...)
	for _, c := range []struct {
		planes []int
		items  []Item
		width  float64
		want   string
	}{
		{[]int{0}, nil, 0, "must be positive"}, {[]int{0}, nil, math.NaN(), "must be positive"}, {[]int{0}, nil, math.Inf(1), "must be positive"},
		{[]int{0, 2}, nil, 1, "not joined"}, {[]int{5}, nil, 1, "no plane 5"}, {nil, nil, 1, "no plane"},
		{[]int{0}, []Item{{"m", 0, Shape{}}}, 1, `item 0 "m"`}, {[]int{0}, []Item{{"m", -1, Disc(Point{}, 1)}}, 1, "no plane -1"},
	} {
		if _, err := r.Path(c.planes, c.items, c.width); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v: %v lacks %q", c.planes, err, c.want)
		}
	}
	walled := level(Point{0, 0}, Point{5, 0}, Point{5, 5}, Point{0, 5})
	walled.Kinds = []EdgeKind{Wall, 0, 0, 0}
	if _, err := mustRoof(t, walled).Path([]int{0}, nil, 1); err == nil || !strings.Contains(err.Error(), "no way can begin") {
		t.Errorf("a plane that stands on a wall: %v", err)
	}
}

// An eave higher up is a start like any other; stated as a rake it is none, and a rake stated as an eave is one.
func TestPathFromStatedEave(t *testing.T) {
	p := level(Point{0, 0}, Point{4, 0}, Point{4, 3}, Point{10, 3}, Point{10, 6}, Point{0, 6})
	shut := itemsOf(rect(0, 1, 4, 0.5))
	for _, c := range []struct {
		kinds  []EdgeKind
		exists bool
	}{{nil, true}, {[]EdgeKind{0, 0, Rake, 0, 0, 0}, false}, {[]EdgeKind{0, 0, Rake, Eave, 0, 0}, true}} {
		p.Kinds = c.kinds
		got, err := mustRoof(t, p).Path([]int{0}, shut, crew)
		if err != nil || got.Exists != c.exists {
			t.Errorf("kinds %v: %v, exists %v, widest %g", c.kinds, err, got.Exists, got.Widest)
		}
		checkPath(t, mustRoof(t, p), got, shut, crew)
	}
}

// Stated kinds can open or shut any edge of a plane.
func TestPathWithStatedKinds(t *testing.T) {
	p := level(Point{0, 0}, Point{4, 0}, Point{4, 3}, Point{0, 3})
	for _, c := range []struct {
		kinds  []EdgeKind
		things []Shape
		widest float64
		fault  string
	}{
		{[]EdgeKind{Eave, Eave, Ridge, HighEave}, []Shape{rect(1, 1, 1, 1)}, 5, ""}, // no side at all: the extent of the plane
		{[]EdgeKind{Eave, Ridge, Rake, Rake}, []Shape{rect(0, 1, 1, 0.5)}, 5, ""},   // a side on the left only
		{[]EdgeKind{Eave, Rake, Rake, Rake}, nil, 0, "no way can end"},
		{[]EdgeKind{Unstated, Unstated, Wall, Unstated}, nil, 0, "ends against a wall at its top, not at a ridge"},
	} {
		p.Kinds = c.kinds
		way, err := mustRoof(t, p).Path([]int{0}, itemsOf(c.things...), crew)
		if c.fault != "" {
			if err == nil || !strings.Contains(err.Error(), c.fault) {
				t.Errorf("%v: %v lacks %q", c.kinds, err, c.fault)
			}
			continue
		}
		if err != nil || !way.Exists {
			t.Errorf("%v: %v, exists %v", c.kinds, err, way.Exists)
		}
		near(t, fmt.Sprint(c.kinds), way.Widest, c.widest, 1e-9)
	}
}

// Three planes round an end of a hip roof, and all four of them.
func TestPathOverManyPlanes(t *testing.T) {
	r := mustRoof(t, hipRoof(30)...)
	for _, planes := range [][]int{{0, 1, 2}, {1, 0, 2}, {0, 1, 2, 3}, {3, 2, 1, 0}} {
		p, err := r.Path(planes, nil, crew)
		if err != nil || !p.Exists {
			t.Errorf("planes %v: %v, exists %v", planes, err, p.Exists)
			continue
		}
		checkPath(t, r, p, nil, crew)
		shut := []Item{{"s", 0, rect(0.5, 0.5, 11, 0.5)}, {"e", 1, rect(0.45, 0.5, 7.1, 0.5)}, {"n", 2, rect(0.5, 0.5, 11, 0.5)}, {"w", 3, rect(0.45, 0.5, 7.1, 0.5)}}
		if p, err = r.Path(planes, shut, 1.5); err != nil || p.Exists {
			t.Errorf("planes %v all shut: %v, widest %g", planes, err, p.Widest)
		}
	}
}

// shoulders states the level edges between the bottom and the top of a polygon as rakes, so that no ladder stands there.
func shoulders(polygon []complex128, height float64) []EdgeKind {
	kinds := make([]EdgeKind, len(polygon))
	for i, a := range polygon {
		if b := polygon[(i+1)%len(polygon)]; imag(a) == imag(b) && imag(a) > 0 && imag(a) < height {
			kinds[i] = Rake
		}
	}
	return kinds
}

func randomScene(seed int64) (Plane, []Item) {
	rng := rand.New(rand.NewSource(seed))
	height := 3 + rng.Float64()*3
	left, right := randomFlank(rng, 0, 1.5, height), randomFlank(rng, 6, 8, height)
	polygon := append([]complex128(nil), right...)
	for i := len(left) - 1; i >= 0; i-- {
		polygon = append(polygon, left[i])
	}
	var items []Item
	for _, g := range randomThings(rng, 4+rng.Intn(15), polygon, 8, height) {
		items = append(items, Item{Shape: g.shape().Moved(0, Point{-real(left[0]), 0})})
	}
	return Plane{Name: "p", Outline: planOf(polygon, 25, 180, 0), Slope: 25, Downslope: 180, Kinds: shoulders(polygon, height)}, items
}

func widestOf(t *testing.T, p Plane, items []Item, width float64) float64 {
	t.Helper()
	way, err := mustRoof(t, p).Path([]int{0}, items, width)
	if err != nil {
		t.Fatal(err)
	}
	return way.Widest
}

func TestPathProperties(t *testing.T) {
	for seed := int64(1000); seed < 1000+few(int64(60)); seed++ {
		plane, items := randomScene(seed)
		base := widestOf(t, plane, items, crew)
		if got := widestOf(t, plane, items, 3*crew); got != base {
			t.Errorf("roof %d: widest %g when %g is asked for, else %g", seed, got, 3*crew, base)
		}
		for i := range items {
			rest := append(append([]Item(nil), items[:i]...), items[i+1:]...)
			if got := widestOf(t, plane, rest, crew); got < base-1e-12 {
				t.Errorf("roof %d: without item %d the way narrows from %g to %g", seed, i, base, got)
			}
		}
		turned, mirrored, scaled := plane, plane, plane
		turned.Outline, mirrored.Outline, scaled.Outline = nil, nil, nil
		sin, cos := math.Sincos(0.7)
		for _, p := range plane.Outline {
			turned.Outline = append(turned.Outline, Point{100 + cos*p.X - sin*p.Y, sin*p.X + cos*p.Y})
			mirrored.Outline = append(mirrored.Outline, Point{-p.X, p.Y})
			scaled.Outline = append(scaled.Outline, p.mul(3))
		}
		turned.Downslope -= 0.7 * 180 / math.Pi
		near(t, "turned", widestOf(t, turned, items, crew), base, 1e-9)

		before := mustRoof(t, plane)
		frame, mirror := before.Frame(0), mustRoof(t, mirrored).Frame(0)
		var flipped, grown, backward []Item
		for i, it := range items {
			var c [4]Point
			corners := it.Shape.Corners()
			for k, p := range corners { // mirroring turns the corners the other way round
				q := frame.ToPlan(p)
				c[len(corners)-1-k] = mirror.ToSurface(Point{-q.X, q.Y})
			}
			flipped = append(flipped, Item{Shape: Shape{points: c, n: len(corners), radius: it.Shape.radius}})
			s := it.Shape
			for k := range s.n {
				s.points[k] = s.points[k].mul(3)
			}
			s.radius *= 3
			grown = append(grown, Item{Shape: s})
			backward = append(backward, items[len(items)-1-i])
		}
		near(t, "mirrored", widestOf(t, mirrored, flipped, crew), base, 1e-9)
		near(t, "three times as large", widestOf(t, scaled, grown, crew), 3*base, 1e-8)
		near(t, "items in reverse order", widestOf(t, plane, backward, crew), base, 0)
	}
}

// joinedScene draws two planes flat, the second turned about the joining edge, with complex numbers.
type joinedScene struct {
	roof  *Roof
	grid  gridField
	items []Item
}

// hipScene is the south and east plane of the hip roof.
func hipScene(rng *rand.Rand, slope float64) joinedScene {
	h := 4 / math.Cos(slope*math.Pi/180)
	hip := func(z complex128) complex128 { // from the surface of the east plane, whose hip runs from 0 to 4+ih
		return 12 + z*complex(-4, h)/complex(4, h)
	}
	south := []complex128{0, 12, complex(8, h), complex(4, h)}
	east := []complex128{0, 8, complex(4, h)}
	s := joinedScene{roof: mustRoofOf(hipRoof(slope))}
	s.grid.polygons = [][]complex128{south, {hip(0), hip(8), hip(complex(4, h))}}
	s.grid.starts = []gridThing{{kind: 's', from: 0, to: 12}, {kind: 's', from: hip(0), to: hip(8)}}
	// The far hip of the east plane is an end down to where the plane is a crew wide: at that share of its 8 m below the top.
	top := complex(8, h)
	cut := top + (hip(8)-top)*(crew/8)
	s.grid.ends = []gridThing{{kind: 's', from: top, to: complex(4, h)}, {kind: 's', from: cut, to: top}}
	s.grid.flanks = []gridThing{{kind: 's', from: complex(4, h), to: 0}, {kind: 's', from: hip(8), to: cut}}
	s.grid.bend, s.grid.bends = top, true
	s.scatter(rng, 0, 3+rng.Intn(8), south, 12, h, func(z complex128) complex128 { return z }, 0)
	s.scatter(rng, 1, 2+rng.Intn(6), east, 8, h, hip, cmplx.Phase(complex(-4, h)/complex(4, h)))
	return s
}

// valleyScene is the main plane and the wing of the valley roof.
func valleyScene(rng *rand.Rand, slope float64) joinedScene {
	h := 4 / math.Cos(slope*math.Pi/180)
	// The wing falls west; looking up its slope, east, left is north. Its lowest edge runs from (6, 0), at x 0, to (6, -6), at x 6; the
	// valley runs from 0 to -4+ih, and on the main plane from 6 to 10+ih.
	spin := complex(4, h) / complex(-4, h)
	wingTo := func(z complex128) complex128 { return 6 + z*spin }
	main := []complex128{0, 6, complex(10, h), complex(0, h)}
	wing := []complex128{0, 6, complex(6, h), complex(-4, h)}
	s := joinedScene{roof: mustRoofOf(valleyRoof(slope))}
	var flat []complex128
	for _, z := range wing {
		flat = append(flat, wingTo(z))
	}
	s.grid.polygons = [][]complex128{main, flat}
	s.grid.starts = []gridThing{{kind: 's', from: 0, to: 6}, {kind: 's', from: flat[0], to: flat[1]}}
	s.grid.ends = []gridThing{{kind: 's', from: complex(10, h), to: complex(0, h)}, {kind: 's', from: flat[2], to: flat[3]}}
	s.grid.flanks = []gridThing{{kind: 's', from: complex(0, h), to: 0}, {kind: 's', from: flat[1], to: flat[2]}}
	s.grid.bend, s.grid.bends = 6, true
	s.scatter(rng, 0, 3+rng.Intn(8), main, 10, h, func(z complex128) complex128 { return z }, 0)
	s.scatter(rng, 1, 3+rng.Intn(8), wing, 6, h, wingTo, cmplx.Phase(spin))
	return s
}

func mustRoofOf(planes []Plane) *Roof {
	r, err := New(planes, Limits{})
	if err != nil {
		panic(err)
	}
	return r
}

// scatter puts random things on a plane and the same things on the grid.
func (s *joinedScene) scatter(rng *rand.Rand, plane, n int, polygon []complex128, width, height float64, to func(complex128) complex128, turn float64) {
	for _, g := range randomThings(rng, n, polygon, width, height) {
		if len(s.roof.Strays([]Item{{"", plane, g.shape()}}, 0)) > 0 {
			continue // hips cut the plane narrow
		}
		s.items = append(s.items, Item{"thing", plane, g.shape()})
		g.c = to(g.c)
		g.turn += turn * 180 / math.Pi
		s.grid.things = append(s.grid.things, g)
	}
}

func TestPathAgainstGridAcrossHipsAndValleys(t *testing.T) {
	const step = 0.1
	for seed := int64(1); seed <= few(int64(50)); seed++ {
		rng := rand.New(rand.NewSource(seed))
		make := hipScene
		if seed%2 == 0 {
			make = valleyScene
		}
		s := make(rng, 5+rng.Float64()*55)
		p, err := s.roof.Path([]int{0, 1}, s.items, crew)
		if err != nil {
			t.Fatalf("roof %d: %v", seed, err)
		}
		// The grid meets starts and ends within a step, which adds two to the 1.5 steps of the way itself at worst.
		got := s.grid.widest(step, 1.01*step)
		if math.Abs(got-p.Widest) > 3.5*step {
			t.Errorf("roof %d: widest path %.4f m, on the grid %.4f m", seed, p.Widest, got)
		}
		checkPath(t, s.roof, p, s.items, crew)
	}
}
