package roofplan

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"testing"
)

const inch = 0.0254

func mustWalk(t testing.TB, r *Roof, plane int, joints []EdgeKind, from Entry, items []Item, most float64) *Walk {
	t.Helper()
	w, err := r.Walk(plane, joints, from, items, most)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// A window of 24 in, 100 in above the eave of a plane 200 in wide, between modules.
func TestStraightWayServes(t *testing.T) {
	p := level(Point{0, 0}, Point{200 * inch, 0}, Point{200 * inch, 150 * inch}, Point{0, 150 * inch})
	p.Slope = 30
	r := mustRoof(t, p)
	inches := func(x, y, w, h float64) Item { return Item{"m", 0, rect(x*inch, y*inch, w*inch, h*inch)} }
	window := Item{"window", 0, rect(88*inch, 100*inch, 24*inch, 20*inch)}
	for _, c := range []struct {
		about string
		items []Item
		place Item
		want  float64 // inches
	}{
		{"between two arrays with the window in the middle", []Item{inches(0, 0, 82, 90), inches(118, 0, 82, 90)}, window, 36},
		{"flush with the right jamb", []Item{inches(0, 0, 76, 140), inches(112, 0, 88, 140)}, window, 36},
		{"flush with the left jamb", []Item{inches(0, 0, 88, 140), inches(124, 0, 76, 140)}, window, 36},
		{"strip as wide as the window", []Item{inches(0, 0, 88, 140), inches(112, 0, 88, 140)}, window, 24},
		{"array reaches an inch over the window", []Item{inches(0, 0, 89, 100), inches(130, 0, 70, 90)}, window, 0},
		{"shut below", []Item{inches(0, 10, 200, 30)}, window, 0},
		{"pipe in the way", []Item{inches(0, 0, 64, 140), inches(136, 0, 64, 140), {"pipe", 0, Disc(Point{86 * inch, 30 * inch}, 2*inch)}}, window, 48},
		{"beside the window", []Item{inches(0, 100, 88, 50), inches(112, 100, 88, 50)}, window, 96},
		{"no thing at all", nil, window, 96},
		{"target among the items", []Item{window}, window, 96},
		{"standpipe at the side of a lane", []Item{inches(0, 0, 60, 140), inches(108, 0, 92, 140)}, Item{"pipe", 0, Disc(Point{62 * inch, 100 * inch}, 2*inch)}, 48},
	} {
		w := mustWalk(t, r, 0, nil, Entry{Kinds: []EdgeKind{Eave}}, c.items, 96*inch)
		got := w.Straight(c.place, 36*inch, false)
		if math.Abs(got.Width/inch-c.want) > 1e-6 {
			t.Errorf("%s: %.6f in, want %g in", c.about, got.Width/inch, c.want)
		}
		if got.Width > 0 && math.Abs(got.From.Y) > 1e-6 {
			t.Errorf("%s: begins at %v", c.about, got.From)
		}
	}
	// A hatch 60 in wide, of which 40 in are behind modules, is served within the other 20 in only; of 24 in by a strip of 24 in.
	w := mustWalk(t, r, 0, nil, Entry{Kinds: []EdgeKind{Eave}}, []Item{inches(0, 0, 76, 90), inches(100, 0, 100, 90)}, 96*inch)
	got := w.Straight(Item{"hatch", 0, rect(70*inch, 100*inch, 60*inch, 30*inch)}, 20*inch, false)
	if math.Abs(got.Width/inch-24) > 1e-6 {
		t.Errorf("within a broad hatch: %.6f in, want 24 in", got.Width/inch)
	}
}

// A drainage grid: nine planes of 10 m by 10 m, each a little askew of the next, as one roof. The standpipe stands in the middle one.
func drainageGrid() []Plane {
	var planes []Plane
	for i := range 3 {
		for k := range 3 {
			x, y, z := float64(i)*10, float64(k)*10, 4.0
			planes = append(planes, Plane{Name: fmt.Sprintf("bay %d %d", i, k), Elevation: &z, Downslope: 180,
				Outline: []Point{{x, y}, {x + 10, y}, {x + 10, y + 10}, {x, y + 10}}})
		}
	}
	return planes
}

func TestWaysOverJoinedPlanes(t *testing.T) {
	grid := mustRoof(t, drainageGrid()...)
	joints := []EdgeKind{Ridge, Hip, Valley, Break}
	pipe := Item{"standpipe", 4, Disc(Point{5, 5}, 0.05)}
	lane := func(width float64) []Item { // modules on all bays but for a lane to the south
		var items []Item
		for plane := range 9 {
			for i := range 2 {
				x := float64(i) * (5 + width/2)
				items = append(items, Item{"m", plane, rect(x, 0, 5-width/2, 10)})
			}
		}
		return items
	}
	whole := mustRoof(t, level(Point{0, 0}, Point{30, 0}, Point{30, 30}, Point{0, 30}))
	for _, width := range []float64{0.5, 1.2, 1.2192, 2} {
		w := mustWalk(t, grid, 4, joints, Entry{Kinds: OuterKinds}, lane(width), 2.5)
		near(t, "straight in the grid", w.Straight(pipe, 1.2192, true).Width, width, 1e-6)
		near(t, "bent in the grid", w.Bent(pipe, 0.6).Width, width, 1e-6)
		// The same roof drawn as one plane.
		var items []Item
		for _, it := range lane(width) {
			p := grid.Plane(it.Plane).Outline[0]
			items = append(items, Item{"m", 0, it.Shape.Moved(0, p)})
		}
		w = mustWalk(t, whole, 0, nil, Entry{Kinds: OuterKinds}, items, 2.5)
		near(t, "straight on one plane", w.Straight(Item{"standpipe", 0, Disc(Point{15, 15}, 0.05)}, 1.2192, true).Width, width, 1e-6)
		near(t, "bent on one plane", w.Bent(Item{"standpipe", 0, Disc(Point{15, 15}, 0.05)}, 0.6).Width, width, 1e-6)
	}
	// Without joints the middle bay has no edge from which anyone comes.
	w := mustWalk(t, grid, 4, nil, Entry{Kinds: OuterKinds}, nil, 2.5)
	if got := w.Straight(pipe, 1.2192, true); got.Width != 0 {
		t.Errorf("a straight way from nowhere: %+v", got)
	}
	if got := w.Bent(pipe, 0.6); got.Width != 0 || got.Bound {
		t.Errorf("a way from nowhere: %+v", got)
	}
}

// A hole across the lane shuts it for a straight way; a bent one goes round.
func TestWaysAroundHole(t *testing.T) {
	p := level(Point{0, 0}, Point{10, 0}, Point{10, 10}, Point{0, 10})
	p.Holes = [][]Point{{{4, 3}, {6, 3}, {6, 5}, {4, 5}}}
	r := mustRoof(t, p)
	place := Item{"hatch", 0, rect(4.5, 7, 1, 1)}
	sides := []Item{{"left", 0, rect(0, 0, 2.9, 9)}, {"right", 0, rect(7.3, 0, 2.7, 9)}, {"above", 0, rect(0, 9, 10, 0.5)}}
	w := mustWalk(t, r, 0, nil, Entry{Kinds: []EdgeKind{Eave}}, sides, 3)
	bent := w.Bent(place, 0.5)
	near(t, "round the hole", bent.Width, 1.3, 1e-9) // 7.3 - 6
	if bent.Gate.A.Item != 1 && bent.Gate.B.Item != 1 {
		t.Errorf("gate %+v", bent.Gate)
	}
	if got := w.Straight(place, 1, false); got.Width != 0 {
		t.Errorf("straight through the hole: %+v", got)
	}
	// An opening of 0.8 m at the right end of the hole is served past it, by 7.3 - 6 again.
	near(t, "past the hole", w.Straight(Item{"window", 0, rect(6.2, 7, 0.8, 1)}, 0.9, false).Width, 1.3, 1e-9)
	// The edge of the hole is no edge from which a crew comes.
	ring := []Item{{"", 0, rect(1, 0, 8, 1)}, {"", 0, rect(1, 8.5, 8, 1)}, {"", 0, rect(0.5, 0, 1, 9)}, {"", 0, rect(8.5, 0, 1, 9)}}
	w = mustWalk(t, r, 0, nil, Entry{Kinds: OuterKinds}, ring, 3)
	if got := w.Bent(place, 0.5); got.Width != 0 {
		t.Errorf("from the hole: %+v", got)
	}
}

// A window in the wall above a porch roof: the wall is the upper edge.
func TestWayToWindowInWall(t *testing.T) {
	p := level(Point{0, 0}, Point{200 * inch, 0}, Point{200 * inch, 96 * inch}, Point{0, 96 * inch})
	p.Kinds = []EdgeKind{Unstated, Unstated, Wall, Unstated}
	r := mustRoof(t, p)
	sill := 96*inch - 1e-4
	window := Item{"window", 0, Segment(Point{88 * inch, sill}, Point{112 * inch, sill})}
	modules := []Item{{"m", 0, rect(0, 0, 76*inch, 96*inch)}, {"m", 0, rect(112*inch, 0, 88*inch, 96*inch)}}
	w := mustWalk(t, r, 0, nil, Entry{Kinds: []EdgeKind{Eave}}, modules, 72*inch)
	near(t, "straight, inches", w.Straight(window, 36*inch, false).Width/inch, 36, 1e-6)
	near(t, "bent, inches", w.Bent(window, 18*inch).Width/inch, 36, 1e-6)
	modules[1] = Item{"m", 0, rect(111*inch, 0, 89*inch, 60*inch)} // an inch before the window, but not up to it
	w = mustWalk(t, r, 0, nil, Entry{Kinds: []EdgeKind{Eave}}, modules, 72*inch)
	near(t, "bent, inches", w.Bent(window, 18*inch).Width/inch, 35, 1e-6)
}

// What lies below a window, on its plane and on the lower part of the same slope, which is drawn askew.
func TestBelow(t *testing.T) {
	low, high := 3.0, 3+2*math.Tan(30*math.Pi/180)
	upper := Plane{Name: "upper", Elevation: &high, Slope: 30, Downslope: 180, Outline: []Point{{2, 2}, {10, 2}, {10, 5}, {2, 5}}}
	lower := Plane{Name: "lower", Elevation: &low, Slope: 30, Downslope: 180, Outline: []Point{{0, 0}, {12, 0}, {12, 2}, {0, 2}}}
	r := mustRoof(t, upper, lower)
	window := Item{"window", 0, rect(4, 1, 1, 1.2)} // from x 6 to 7 on the lower part
	items := []Item{
		{"in it", 0, rect(4.5, 0.2, 2, 0.5)}, {"beside it", 0, rect(5, 0.2, 2, 0.5)}, {"above", 0, rect(4, 2.4, 1, 0.3)},
		{"at the eave", 1, rect(5, 0.1, 1.05, 1)}, {"beside it below", 1, rect(7, 0.1, 1, 1)}, window,
	}
	w := mustWalk(t, r, 0, []EdgeKind{Break}, Entry{}, items, 1)
	if got := w.Below(window); !slices.Equal(got, []int{0, 3}) {
		t.Errorf("below: %v", got)
	}
	if got := w.Below(Item{"sill at the eave", 1, rect(5, 0, 1, 1)}); len(got) != 0 {
		t.Errorf("below the eave: %v", got)
	}
	if got := w.Below(Item{"nowhere", 7, rect(5, 0, 1, 1)}); got != nil {
		t.Errorf("below nothing: %v", got)
	}
	modules := func(i int) bool { return i < 5 }
	if got, ok := w.Nearest(window, modules); !ok || got.Item != 2 || math.Abs(got.Distance-0.2) > 1e-9 {
		t.Errorf("nearest: %+v", got)
	}
	// A pipe at (7, 1) of the lower part, straight below the first module, which begins 0.2 m above the joint at 2 m over cos 30.
	pipe := Item{"pipe", 1, Disc(Point{7, 1}, 0.1)}
	got, ok := w.Nearest(pipe, func(i int) bool { return i == 0 })
	if want := 2/math.Cos(30*math.Pi/180) + 0.2 - 1.1; !ok || math.Abs(got.Distance-want) > 1e-9 {
		t.Errorf("nearest over the joint: %+v, want %g m", got, want)
	}
	if got, ok := w.Nearest(window, func(int) bool { return false }); ok {
		t.Errorf("nearest of none: %+v", got)
	}
}

// A plane in the shape of an L, open all round: what stands on the other arm, beyond the notch, is not in the way, and neither is it near.
func TestWaysPastNotch(t *testing.T) {
	r := mustRoof(t, level(Point{0, 0}, Point{4, 0}, Point{4, 6}, Point{12, 6}, Point{12, 10}, Point{0, 10}))
	pipe := Item{"pipe", 0, Disc(Point{2, 2}, 0.05)}
	arm := Item{"arm", 0, rect(4.2, 6.2, 7, 3)}
	ring := []Item{arm, {"west", 0, rect(0, 0, 1.2, 10)}, {"south", 0, rect(1.2, 0, 2.8, 1.2)}, {"north", 0, rect(1.2, 2.9, 2.7, 1)}}
	w := mustWalk(t, r, 0, nil, Entry{Kinds: OuterKinds}, ring, 4)
	got := w.Straight(pipe, 1.2, true)
	near(t, "east, over the notch", got.Width, 1.7, 1e-6)
	near(t, "ends at the notch", got.From.X, 4, 1e-6)
	if got.Left.Name != "south" && got.Left.Name != "north" || got.Left.Name == got.Right.Name {
		t.Errorf("bounded by %q and %q", got.Left.Name, got.Right.Name)
	}
	near(t, "bent, over the notch", w.Bent(pipe, 0.6).Width, 1.7, 1e-9)
	// A thing that hangs over the notch's edge is in the way.
	w = mustWalk(t, r, 0, nil, Entry{Kinds: OuterKinds}, append(ring, Item{"over", 0, rect(3.5, 1.9, 1, 0.2)}), 4)
	if got := w.Straight(pipe, 1.2, true); got.Width > 0.8 {
		t.Errorf("past the thing at the edge: %+v", got)
	}
}

func TestWalkRefuses(t *testing.T) {
	r := mustRoof(t, level(Point{0, 0}, Point{10, 0}, Point{10, 6}, Point{0, 6}))
	for about, f := range map[string]func() error{
		"no such plane":   func() error { _, err := r.Walk(1, nil, Entry{}, nil, 1); return err },
		"no width":        func() error { _, err := r.Walk(0, nil, Entry{}, nil, 0); return err },
		"endless width":   func() error { _, err := r.Walk(0, nil, Entry{}, nil, math.Inf(1)); return err },
		"item nowhere":    func() error { _, err := r.Walk(0, nil, Entry{}, []Item{{"x", 3, rect(0, 0, 1, 1)}}, 1); return err },
		"item of no size": func() error { _, err := r.Walk(0, nil, Entry{}, []Item{{"x", 0, Shape{}}}, 1); return err },
	} {
		if f() == nil {
			t.Errorf("%s is no error", about)
		}
	}
	w := mustWalk(t, r, 0, nil, Entry{Kinds: OuterKinds}, nil, 1)
	if got := w.Bent(Item{"x", 0, Shape{}}, 1); got.Width != 0 {
		t.Errorf("to nothing: %+v", got)
	}
	if got := w.Straight(Item{"x", 2, rect(1, 1, 1, 1)}, 1, false); got.Width != 0 {
		t.Errorf("to another roof: %+v", got)
	}
}

// scene is a random roof of 12 m by 8 m, in one plane or in three parts, with things on it and a place to come to.
type scene struct {
	roof   *Roof
	walk   *Walk
	things []gridThing
	items  []Item
	open   [4]bool
	place  Item
}

func newScene(t *testing.T, rng *rand.Rand, most float64) *scene {
	s := &scene{}
	kinds := make([]EdgeKind, 4)
	for i := range kinds {
		s.open[i] = rng.Intn(2) == 0
		kinds[i] = Wall
		if s.open[i] {
			kinds[i] = Parapet
		}
	}
	z := 3.0
	var planes []Plane
	cuts := []float64{0, 12}
	if rng.Intn(2) == 0 {
		cuts = []float64{0, 3 + rng.Float64()*2, 7 + rng.Float64()*2, 12}
	}
	for i := range len(cuts) - 1 {
		a, b := cuts[i], cuts[i+1]
		p := Plane{Name: fmt.Sprint("part ", i), Elevation: &z, Downslope: 180, Outline: []Point{{a, 0}, {b, 0}, {b, 8}, {a, 8}}}
		p.Kinds = []EdgeKind{kinds[0], Unstated, kinds[2], Unstated}
		if a == 0 {
			p.Kinds[3] = kinds[3]
		}
		if b == 12 {
			p.Kinds[1] = kinds[1]
		}
		planes = append(planes, p)
	}
	s.roof = mustRoof(t, planes...)
	on := func(at Point) (int, Point) { // plane and origin
		for i := range planes {
			if at.X <= cuts[i+1] {
				return i, Point{cuts[i], 0}
			}
		}
		return 0, Point{}
	}
	at := Point{3 + rng.Float64()*6, 2.5 + rng.Float64()*3}
	plane, origin := on(at)
	s.place = Item{"place", plane, Disc(at.sub(origin), 0.2)}
	for range 8 + rng.Intn(22) {
		c := Point{rng.Float64() * 12, rng.Float64() * 8}
		g := gridThing{kind: 'r', c: complex(c.X, c.Y), w: 0.4 + rng.Float64()*2.2, h: 0.3 + rng.Float64()*1.2, turn: rng.Float64() * 180}
		if rng.Intn(3) == 0 {
			g = gridThing{kind: 'd', c: g.c, w: 0.1 + rng.Float64()*0.5}
		}
		if g.distance(complex(at.X, at.Y)) < 0.25 {
			continue
		}
		plane, origin := on(c)
		s.things = append(s.things, g)
		s.items = append(s.items, Item{fmt.Sprint("thing ", len(s.items)), plane, g.shape().Moved(0, origin.mul(-1))})
	}
	s.walk = mustWalk(t, s.roof, s.place.Plane, []EdgeKind{Break}, Entry{Kinds: []EdgeKind{Parapet}}, s.items, most)
	return s
}

// middle is the place in plan view.
func (s *scene) middle() complex128 {
	p := s.roof.Frame(s.place.Plane).ToPlan(s.place.Shape.Centre())
	return complex(p.X, p.Y)
}

var sceneCorners = []complex128{0, 12, complex(12, 8), complex(0, 8)}

// Bent ways are compared with the grid method.
func TestBentAgainstGrid(t *testing.T) {
	const h, reach, most = 0.05, 0.5, 2.5
	narrow, shut, wide := 0, 0, 0
	for seed := int64(1); seed <= few(int64(100)); seed++ {
		s := newScene(t, rand.New(rand.NewSource(seed)), most)
		g := gridField{polygons: [][]complex128{sceneCorners}, things: s.things}
		for i, a := range sceneCorners {
			edge := gridThing{kind: 's', from: a, to: sceneCorners[(i+1)%4]}
			if s.open[i] {
				g.starts = append(g.starts, edge)
			} else {
				g.flanks = append(g.flanks, edge)
			}
		}
		g.ends = []gridThing{{kind: 'd', c: s.middle(), w: 0.2 + reach}}
		want := math.Min(g.widest(h, h/2), most)
		got := s.walk.Bent(s.place, reach)
		if d := got.Width - want; math.Abs(d) > 3*h {
			t.Errorf("roof %d: %.3f m, grid %.3f m, gate %s and %s", seed, got.Width, want, got.Gate.A.Name, got.Gate.B.Name)
		}
		switch {
		case got.Width == 0:
			shut++
		case got.Bound:
			wide++
		default:
			narrow++
			if got.Gate.A.Name == "" || math.Abs(got.Gate.Gap-got.Width) > 1e-9 {
				t.Errorf("roof %d: gate %+v", seed, got.Gate)
			}
		}
	}
	if narrow < few(40) || shut < few(2) {
		t.Errorf("%d narrow, %d shut, %d wide: the sample says little", narrow, shut, wide)
	}
}

// Straight ways are compared with strips laid between points of the borders of things, in many directions.
func TestStraightAgainstStrips(t *testing.T) {
	const most = 2.5
	found, none := 0, 0
	for seed := int64(1); seed <= few(int64(120)); seed++ {
		s := newScene(t, rand.New(rand.NewSource(seed)), most)
		var spots []complex128
		for _, g := range s.things {
			for k := range 80 {
				spin := float64(k) / 80
				if g.kind == 'd' {
					sin, cos := math.Sincos(spin * 2 * math.Pi)
					spots = append(spots, g.c+complex(cos*g.w, sin*g.w))
					continue
				}
				side, at := k/20, float64(k%20)/20*2-1
				x, y := at*g.w/2, -g.h/2
				switch side {
				case 1:
					x, y = g.w/2, at*g.h/2
				case 2:
					x, y = -at*g.w/2, g.h/2
				case 3:
					x, y = -g.w/2, -at*g.h/2
				}
				sin, cos := math.Sincos(g.turn * math.Pi / 180)
				spots = append(spots, g.c+complex(x*cos-y*sin, x*sin+y*cos))
			}
		}
		for i, a := range sceneCorners {
			for k := 0; !s.open[i] && k <= 400; k++ {
				spots = append(spots, a+(sceneCorners[(i+1)%4]-a)*complex(float64(k)/400, 0))
			}
		}
		best := 0.0
		for k := range 1440 {
			best = math.Max(best, s.laid(spots, float64(k)*2*math.Pi/1440, most))
		}
		got := s.walk.Straight(s.place, 1.2, true)
		// Points lie up to 0.13 m apart: a strip between them can be wider than the way by what things bulge between them, and a direction is
		// missed by up to 0.03 m over 12 m.
		if got.Width > best+0.06 || got.Width < best-0.15 {
			t.Errorf("roof %d: %.3f m, strips %.3f m", seed, got.Width, best)
		}
		if got.Width > 0 {
			found++
			p, q := s.plan(got.From), s.plan(got.To)
			line := q - p
			if at := math.Atan2(-imag(line), -real(line)); s.laid(spots, at, most) < got.Width-1e-6 {
				t.Errorf("roof %d: the way of %.3f m is %.3f m wide between the points", seed, got.Width, s.laid(spots, at, most))
			}
		} else {
			none++
		}
	}
	if found < few(45) || none < few(15) {
		t.Errorf("%d ways found and %d not: the sample says little", found, none)
	}
}

// plan carries a point of the flat frame to plan view; the parts are level and in one line.
func (s *scene) plan(p Point) complex128 {
	q := s.roof.Frame(s.place.Plane).ToPlan(p)
	return complex(q.X, q.Y)
}

// laid is the width of the strip over the place in a direction, between points.
func (s *scene) laid(spots []complex128, angle, most float64) float64 {
	c := s.middle()
	sin, cos := math.Sincos(angle)
	spin := complex(cos, -sin)
	lo, hi := -most, most
	for i, p := range append(spots, sceneCorners...) {
		q := (p - c) * spin
		if real(q) < -0.2 {
			continue
		}
		if i >= len(spots) {
			continue // corners of the roof bound nothing by themselves
		}
		switch y := imag(q); {
		case math.Abs(y) < 0.2-1e-6: // a way may run along a thing
			return 0
		case y < 0:
			lo = math.Max(lo, y)
		default:
			hi = math.Min(hi, y)
		}
	}
	for i, a := range sceneCorners { // the strip begins on the roof
		p, q := (a-c)*spin, (sceneCorners[(i+1)%4]-c)*spin
		x0, x1 := real(p)+0.2, real(q)+0.2
		if (x0 < 0) == (x1 < 0) {
			continue
		}
		if y := imag(p) + (imag(q)-imag(p))*x0/(x0-x1); y < 0 {
			lo = math.Max(lo, y)
		} else {
			hi = math.Min(hi, y)
		}
	}
	return math.Min(hi-lo, most)
}
