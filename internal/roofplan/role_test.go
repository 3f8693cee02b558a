package roofplan

import (
	"strings"
	"testing"
)

// gambrel is one half of a gambrel roof, 10 m long, and a plane on the other side of the ridge.
func gambrel() []Plane {
	return []Plane{
		{Name: "lower", Outline: []Point{{0, 0}, {10, 0}, {10, 2}, {0, 2}}, Slope: 60, Downslope: 180},
		{Name: "upper", Outline: []Point{{0, 2}, {10, 2}, {10, 5}, {0, 5}}, Slope: 20, Downslope: 180},
		{Name: "back", Outline: []Point{{0, 5}, {10, 5}, {10, 8}, {0, 8}}, Slope: 20, Downslope: 0},
	}
}

// pathOf finds the way over planes by their names.
func pathOf(t *testing.T, r *Roof, items []Item, names ...string) (Path, error) {
	t.Helper()
	var planes []int
	for _, name := range names {
		for i := range r.Len() {
			if r.Plane(i).Name == name {
				planes = append(planes, i)
			}
		}
	}
	return r.Path(planes, items, crew)
}

// A way over a gambrel runs from the lower eave over the change of pitch to the ridge.
func TestWayOverAGambrel(t *testing.T) {
	r := mustRoof(t, gambrel()...)
	for _, c := range []struct {
		name   string
		items  []Item
		widest float64
	}{
		{"bare", nil, 10},
		{"lower slope covered", []Item{{"m", 0, rect(0, 0.5, 10, 2)}}, 0},
		{"upper slope covered", []Item{{"m", 1, rect(0, 0.5, 10, 2)}}, 0},
		{"each half covered, past each other over the joint", []Item{{"m", 0, rect(0, 0.5, 5, 3)}, {"n", 1, rect(5, 0.5, 5, 2)}}, 1},
	} {
		p, err := pathOf(t, r, c.items, "lower", "upper")
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		near(t, c.name, p.Widest, c.widest, 1e-9)
		checkPath(t, r, p, c.items, crew)
	}
}

// What an edge is decides where a way begins and ends.
func TestWhereWaysBeginAndEnd(t *testing.T) {
	wall := func(p Plane, kinds ...EdgeKind) Plane { p.Kinds = kinds; return p }
	porch := Plane{Name: "porch", Outline: []Point{{0, 0}, {6, 0}, {6, 3}, {0, 3}}, Slope: 15, Downslope: 180}
	hips := hipRoof(30)
	for _, c := range []struct {
		name   string
		planes []Plane
		over   []string
		want   string // in the error, none when there is a way
	}{
		{"a single pitch ends at its high eave", []Plane{porch}, []string{"porch"}, ""},
		{"a porch ends at a wall", []Plane{wall(porch, 0, 0, Wall, 0)}, []string{"porch"}, `plane "porch" ends against a wall at its top, not at a ridge`},
		{"a porch ends at a step", []Plane{wall(porch, 0, 0, Step, 0)}, []string{"porch"}, `ends against a step at its top`},
		{"a parapet at the bottom", []Plane{wall(porch, Parapet, 0, 0, 0)}, []string{"porch"}, `ends against a parapet at its bottom, not at an eave`},
		{"the lower half of a gambrel alone", gambrel(), []string{"lower"}, `plane "lower" goes on as plane "upper"`},
		{"the upper half of a gambrel alone", gambrel(), []string{"upper"}, `plane "upper" goes on as plane "lower"`},
		{"an end of a hip roof", hips, []string{"east"}, ""},
		{"two sides of a hip roof", hips, []string{"south", "east"}, ""},
		{"a triangle between a hip and a wall", []Plane{hips[0], wall(hips[1], 0, Wall, 0), hips[2], hips[3]}, []string{"east"}, "is not free"},
	} {
		r := mustRoof(t, c.planes...)
		p, err := pathOf(t, r, nil, c.over...)
		switch {
		case c.want == "" && (err != nil || !p.Exists):
			t.Errorf("%s: %v, widest %g", c.name, err, p.Widest)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%s: %v lacks %q", c.name, err, c.want)
		}
	}
}

// A slope of four parts round an opening is as wide as the same slope with a hole, and a way may not pass the opening.
func TestWayRoundAnOpening(t *testing.T) {
	part := func(name string, outline ...Point) Plane {
		return Plane{Name: name, Outline: outline, Slope: 0, Downslope: 180}
	}
	whole := part("whole", Point{0, 0}, Point{10, 0}, Point{10, 6}, Point{0, 6})
	whole.Holes = [][]Point{{{3, 2}, {3, 4}, {8, 4}, {8, 2}}}
	parts := []Plane{
		part("below", Point{0, 0}, Point{10, 0}, Point{10, 2}, Point{0, 2}),
		part("left", Point{0, 2}, Point{3, 2}, Point{3, 4}, Point{0, 4}),
		part("right", Point{8, 2}, Point{10, 2}, Point{10, 4}, Point{8, 4}),
		part("above", Point{0, 4}, Point{10, 4}, Point{10, 6}, Point{0, 6}),
	}
	one, four := mustRoof(t, whole), mustRoof(t, parts...)
	for _, c := range []struct {
		name   string
		things []Shape
		widest float64
	}{
		{"bare", nil, 3},
		{"left side shut", []Shape{rect(0, 2.5, 3, 1)}, 2},
		{"both sides narrow", []Shape{rect(0, 2.5, 2.2, 1), rect(8, 2.5, 1.1, 1)}, 0.9},
		{"shut below, past the opening", []Shape{rect(0, 0.5, 8.5, 1)}, 1.5},
		{"across the opening, from rake to rake", []Shape{rect(0, 2.5, 3, 1), rect(8, 2.5, 2, 1)}, 0},
	} {
		items := itemsOf(c.things...)
		p, err := one.Path([]int{0}, items, crew)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		near(t, c.name+", one plane", p.Widest, c.widest, 1e-9)
		checkPath(t, one, p, items, crew)
		var moved []Item
		for _, it := range items {
			at := four.Frame(0).ToPlan(it.Shape.Centre())
			for k, q := range parts {
				if outlineDistance(q.Outline, at) == 0 {
					it.Plane = k
				}
			}
			shift := four.Frame(it.Plane).ToSurface(Point{})
			it.Shape = it.Shape.Moved(0, shift)
			moved = append(moved, it)
		}
		for _, order := range [][]int{{0, 1, 2, 3}, {3, 1, 0, 2}} {
			q, err := four.Path(order, moved, crew)
			if err != nil {
				t.Fatalf("%s, four parts: %v", c.name, err)
			}
			near(t, c.name+", four parts", q.Widest, c.widest, 1e-9)
			checkPath(t, four, q, moved, crew)
		}
	}
}
