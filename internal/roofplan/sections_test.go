package roofplan

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"testing"
)

func TestSections(t *testing.T) {
	r := mustRoof(t, level(Point{0, 0}, Point{100, 0}, Point{100, 60}, Point{0, 60}))
	var items []Item
	block := func(x, y float64, columns, rows int) {
		for c := range columns {
			for k := range rows {
				items = append(items, Item{"m", 0, rect(x+float64(c)*1.02, y+float64(k)*1.7, 1, 1.68)})
			}
		}
	}
	block(2, 2, 40, 8)            // to x 42.78, y 15.58
	block(2, 15.58+1.2192, 40, 4) // a way of the very width above it
	block(42.78+1.0, 2, 10, 8)    // too near to the first: one section with it
	block(42.78+30, 2+1.5, 5, 2)  // far off
	items = append(items, Item{"elsewhere", 1, rect(0, 0, 90, 1)})
	got := r.Spread(items).Sections(1.2192)
	if len(got) != 3 {
		t.Fatalf("%d sections", len(got))
	}
	near(t, "first section across", got[0].Length[0], 42.78-2+1.0+9*1.02+1, 1e-9)
	near(t, "first section up", got[0].Length[1], 7*1.7+1.68, 1e-9)
	total := 0
	for _, s := range got {
		total += len(s.Items)
	}
	if total != len(items)-1 {
		t.Errorf("%d items in sections, want %d", total, len(items)-1)
	}
	if one := r.Spread(items[:1]).Sections(1); len(one) != 1 || len(one[0].Items) != 1 {
		t.Errorf("one module: %+v", one)
	}
	if none := r.Spread(nil).Sections(1); len(none) != 0 {
		t.Errorf("no module: %v", none)
	}
	turned := []Item{{"t", 0, Rect{Centre: Point{50, 30}, Width: 6, Height: 2, Turn: 30}.Shape()}}
	near(t, "along a turned module", r.Spread(turned).Sections(1)[0].Length[0], 6, 1e-9)
	near(t, "across a turned module", r.Spread(turned).Sections(1)[0].Length[1], 2, 1e-9)
}

// block adds rows of modules 1 m by 2 m without gaps, in rows and columns from a place on the surface of a plane.
func block(items []Item, plane int, x, y float64, columns, rows int, omit ...[2]int) []Item {
	for c := range columns {
		for k := range rows {
			if !slices.Contains(omit, [2]int{k + 1, c + 1}) {
				items = append(items, Item{"m", plane, rect(x+float64(c), y+2*float64(k), 1, 2)})
			}
		}
	}
	return items
}

// ft is for sizes as the codes have them.
const ft = 0.3048

var codeSizes = AisleSizes{Reach: 16 * ft, Way: 4 * ft, Cutout: [2]float64{4 * ft, 8 * ft}}

// A gable of 30 m by 2 x 12 m: modules to 0.5 m from the ridge on either side are one section, measured over the ridge; at 0.7 m they are two.
func TestSectionsOverTheRidge(t *testing.T) {
	for _, c := range []struct {
		setback  float64
		sections int
	}{{0.5, 1}, {0.6, 1}, {0.61, 2}, {0.7, 2}} {
		cos := math.Cos(20 * math.Pi / 180)
		r := mustRoof(t,
			Plane{Name: "south", Outline: []Point{{0, 0}, {30, 0}, {30, 12 * cos}, {0, 12 * cos}}, Slope: 20, Downslope: 180},
			Plane{Name: "north", Outline: []Point{{0, 12 * cos}, {30, 12 * cos}, {30, 24 * cos}, {0, 24 * cos}}, Slope: 20, Downslope: 0})
		top := 12 - c.setback
		items := block(block(nil, 0, 2, top-8, 20, 4), 1, 8, top-10, 20, 5)
		got := r.Spread(items).Sections(1.2192)
		if len(got) != c.sections {
			t.Errorf("%g m from the ridge: %d sections, want %d", c.setback, len(got), c.sections)
			continue
		}
		if c.sections == 1 {
			near(t, "along the ridge", got[0].Length[0], 20, 1e-9) // north x runs west: 30-8-20 = 2
			near(t, "across the ridge", got[0].Length[1], 18+2*c.setback, 1e-9)
			if !slices.Equal(got[0].Planes, []int{0, 1}) {
				t.Errorf("planes %v", got[0].Planes)
			}
		}
		aisles := r.Spread(items).Aisles(got, codeSizes, nil)
		if len(aisles) != c.sections-1 {
			t.Errorf("%g m from the ridge: %d aisles", c.setback, len(aisles))
		} else if len(aisles) == 1 {
			near(t, "aisle along the ridge", aisles[0].Width, 2*c.setback, 1e-9)
			near(t, "its length", aisles[0].Length, 20, 1e-9)
		}
		if whole := r.Spread(items).Together(); len(whole) != 1 || math.Abs(whole[0].Extent()-20) > 1e-9 {
			t.Errorf("all together: %+v", whole)
		}
	}
}

// Four blocks round a crossing of ways: the four ways between neighbours are aisles, the two corner to corner are not.
func TestAislesOfACrossing(t *testing.T) {
	r := mustRoof(t, level(Point{0, 0}, Point{60, 0}, Point{60, 60}, Point{0, 60}))
	items := block(nil, 0, 2, 2, 20, 10)
	items = block(items, 0, 24, 2, 20, 10)
	items = block(items, 0, 2, 25, 20, 10)
	items = block(items, 0, 24, 25, 20, 10)
	spread := r.Spread(items)
	sections := spread.Sections(1.2192)
	var got []string
	for _, a := range spread.Aisles(sections, codeSizes, nil) {
		got = append(got, fmt.Sprintf("%d-%d %.1f by %.1f", a.A, a.B, a.Width, a.Length))
	}
	if want := []string{"0-1 2.0 by 20.0", "0-2 3.0 by 20.0", "1-3 3.0 by 20.0", "2-3 2.0 by 20.0"}; !slices.Equal(got, want) {
		t.Errorf("%v", got)
	}
	// A third block wholly between two of them hides them from each other.
	row := block(block(block(nil, 0, 2, 2, 5, 5), 0, 8.5, 2, 1, 5), 0, 11, 2, 5, 5)
	spread = r.Spread(row)
	if aisles := spread.Aisles(spread.Sections(1.2192), codeSizes, nil); len(aisles) != 2 || aisles[0].B != 1 || aisles[1].A != 1 {
		t.Errorf("past a block between: %d aisles", len(aisles))
	}
}

// Two blocks 20 m long on either side of a way of 1.3 m along y, with cutouts.
func TestCutouts(t *testing.T) {
	const w = 1.3
	r := mustRoof(t, level(Point{0, 0}, Point{60, 0}, Point{60, 60}, Point{0, 60}))
	left := func(omit ...[2]int) []Item { return block(nil, 0, 10, 10, 6, 10, omit...) }
	deepRow := func(row int, side int) [][2]int { // three modules deep and one row, 3 m by 2 m: a cutout of 8 ft by 4 ft across
		if side == 0 {
			return [][2]int{{row, 4}, {row, 5}, {row, 6}}
		}
		return [][2]int{{row, 1}, {row, 2}, {row, 3}}
	}
	for _, c := range []struct {
		name             string
		left, right      [][2]int
		cutouts          int
		edges, middles   float64
		obstacle         *Item
		stepped, wayOnly bool
	}{
		{name: "none", edges: 20, middles: 20},
		{name: "one", left: deepRow(5, 0), cutouts: 1, edges: 10, middles: 20 - 10 + 2*ft - 0, obstacle: nil},
		{name: "one of one module", left: [][2]int{{5, 6}}, edges: 20, middles: 20},
		{name: "two rows by two modules", left: [][2]int{{5, 5}, {5, 6}, {6, 5}, {6, 6}}, cutouts: 1, edges: 8, middles: 8 + 4*ft},
		{name: "both sides", left: deepRow(3, 0), right: deepRow(8, 1), cutouts: 2, edges: 8, middles: 8 + 4*ft},
		{name: "same side only", left: slices.Concat(deepRow(3, 0), deepRow(8, 0)), cutouts: 2, edges: 14, middles: 14 + 2*ft},
		{name: "best of two on a side", left: slices.Concat(deepRow(2, 0), deepRow(5, 0)), right: deepRow(8, 1), cutouts: 3, edges: 8, middles: 8 + 2*ft},
		{name: "a unit in it", left: deepRow(5, 0), obstacle: &Item{"unit", 0, rect(14, 18.5, 1, 1)}, edges: 20, middles: 20},
	} {
		items := append(left(c.left...), block(nil, 0, 16+w, 10, 6, 10, c.right...)...)
		var obstacles []Item
		if c.obstacle != nil {
			obstacles = append(obstacles, *c.obstacle)
		}
		spread := r.Spread(items)
		sections := spread.Sections(1.2192)
		aisles := spread.Aisles(sections, codeSizes, r.Spread(obstacles))
		if len(sections) != 2 || len(aisles) != 1 {
			t.Errorf("%s: %d sections, %d aisles", c.name, len(sections), len(aisles))
			continue
		}
		a := aisles[0]
		near(t, c.name+": width", a.Width, w, 1e-9)
		near(t, c.name+": length", a.Length, 20, 1e-9)
		if a.Cutouts() != c.cutouts {
			t.Errorf("%s: %d cutouts, want %d", c.name, a.Cutouts(), c.cutouts)
		}
		near(t, c.name+": from edge to edge", a.CutoutInterval(false), c.edges, 1e-9)
		near(t, c.name+": from middle to middle", a.CutoutInterval(true), c.middles, 1e-9)
	}
}

// A step of an array and a gap between arrays of one section are cutouts too.
func TestCutoutsWithoutOmittedModules(t *testing.T) {
	r := mustRoof(t, level(Point{0, 0}, Point{60, 0}, Point{60, 60}, Point{0, 60}))
	right := func(items []Item) []Item { return block(items, 0, 17.3, 10, 6, 10) }
	stepped := right(block(block(nil, 0, 10, 10, 6, 8), 0, 10, 26, 4, 2)) // 2 m deep, 4 m long at the end of the way
	parted := right(block(block(block(nil, 0, 13, 10, 3, 5), 0, 13, 21.5, 3, 4), 0, 10, 10, 3, 10))
	for name, items := range map[string][]Item{"stepped": stepped, "parted": parted} {
		spread := r.Spread(items)
		aisles := spread.Aisles(spread.Sections(1.2192), codeSizes, nil)
		if len(aisles) != 1 || aisles[0].Cutouts() != 1 {
			t.Errorf("%s: %+v", name, aisles)
		}
	}
}

func TestBesideVents(t *testing.T) {
	r := mustRoof(t, level(Point{0, 0}, Point{60, 0}, Point{60, 60}, Point{0, 60}))
	spread := r.Spread(block(block(nil, 0, 10, 10, 6, 10), 0, 18, 10, 6, 10))
	a := spread.Aisles(spread.Sections(1.2192), codeSizes, nil)
	if len(a) != 1 {
		t.Fatalf("%d aisles", len(a))
	}
	for _, c := range []struct {
		name  string
		at    Point
		width float64
		in    bool
	}{
		{"at the left side", Point{16.3, 20}, 1.4, true},
		{"in the middle", Point{17, 20}, 0.7, true},
		{"under modules", Point{15, 20}, 0, false},
		{"beyond the end", Point{17, 31}, 0, false},
	} {
		width, in := spread.Beside(&a[0], Item{"vent", 0, Disc(c.at, 0.3)})
		if in != c.in || in && math.Abs(width-c.width) > 1e-9 {
			t.Errorf("%s: %g %v", c.name, width, in)
		}
	}
	if _, in := spread.Beside(&a[0], Item{"vent", 4, Disc(Point{17, 20}, 0.3)}); in {
		t.Error("a vent on no plane stands in the aisle")
	}
}

// shed is 10,000 modules on 40 planes: twenty gables side by side, joined at ridges and valleys, with ways along and across.
func shed() (*Roof, []Item) {
	const slope, width, depth = 10.0, 70.0, 9.4
	cos := math.Cos(slope * math.Pi / 180)
	var planes []Plane
	for k := range 40 {
		y, down := float64(k)*depth*cos, 180.0
		if k%2 == 1 {
			down = 0
		}
		planes = append(planes, Plane{Name: fmt.Sprint("p", k), Outline: []Point{{0, y}, {width, y}, {width, y + depth*cos}, {0, y + depth*cos}}, Slope: slope, Downslope: down, Elevation: height(0)})
	}
	roof, err := New(planes, Limits{})
	if err != nil {
		panic(err)
	}
	var items []Item
	for k := range 40 {
		for b := range 3 {
			items = block(items, k, 2+float64(b)*22.5, 0.7, 21, 4)
		}
	}
	return roof, items
}

func BenchmarkJoinedPlanes(b *testing.B) {
	roof, items := shed()
	b.ReportMetric(float64(len(items)), "modules")
	for b.Loop() {
		spread := roof.Spread(items)
		sections := spread.Sections(1.2192)
		aisles := spread.Aisles(sections, codeSizes, nil)
		for k := range 40 {
			if _, ok := roof.ClearanceOver(Joints, k, items, OuterKinds...); !ok {
				b.Fatal("no edge")
			}
		}
		b.ReportMetric(float64(len(sections)), "sections")
		b.ReportMetric(float64(len(aisles)), "aisles")
	}
}

// placed is a module by its centre in plan view, as it would be drawn.
type placed struct {
	centre        Point
	side          int // 0 south of the ridge, 1 north of it
	width, height float64
}

// drawnRoof is a gable of 40 m by 2 x 12 m in plan, drawn in parts that a list of cuts makes of each side, turned by an angle.
func drawnRoof(t *testing.T, slope float64, cuts []float64, turn float64, order []int, modules []placed) *Spread {
	t.Helper()
	sin, cos := sinCos(turn)
	plan := func(p Point) Point { return Point{p.X*cos - p.Y*sin + 5, p.X*sin + p.Y*cos - 3} }
	var planes []Plane
	var sides []int
	bounds := append(append([]float64{0}, cuts...), 40)
	for k := 1; k < len(bounds); k++ {
		for side := range 2 {
			y0, y1, down := 0.0, 12.0, 180-turn
			if side == 1 {
				y0, y1, down = 12, 24, -turn
			}
			x0, x1 := bounds[k-1], bounds[k]
			planes = append(planes, Plane{Name: fmt.Sprint(side, " ", k), Slope: slope, Downslope: down, Elevation: height(0),
				Outline: []Point{plan(Point{x0, y0}), plan(Point{x1, y0}), plan(Point{x1, y1}), plan(Point{x0, y1})}})
			sides = append(sides, side)
		}
	}
	shuffled := make([]Plane, len(planes))
	at := make([]int, len(planes))
	for k := range planes {
		to := k
		if order != nil {
			to = order[k] % len(planes)
			for shuffled[to].Name != "" {
				to = (to + 1) % len(planes)
			}
		}
		shuffled[to], at[k] = planes[k], to
	}
	r := mustRoof(t, shuffled...)
	var items []Item
	for _, m := range modules {
		for k := range planes {
			part := k / 2
			if sides[k] == m.side && m.centre.X >= bounds[part] && (m.centre.X < bounds[part+1] || part == len(bounds)-2) {
				centre := r.Frame(at[k]).ToSurface(plan(m.centre))
				items = append(items, Item{"m", at[k], Rect{Centre: centre, Width: m.width, Height: m.height}.Shape()})
				break
			}
		}
	}
	return r.Spread(items)
}

// told is what sections and aisles say, in words that rounding does not change.
func told(s *Spread) []string {
	sections := s.Sections(1.2192)
	var all []string
	for _, x := range sections {
		all = append(all, fmt.Sprintf("section of %v, %.6f", x.Items, x.Extent()))
	}
	for _, a := range s.Aisles(sections, codeSizes, nil) {
		all = append(all, fmt.Sprintf("aisle %d-%d, %.6f by %.6f, %d cutouts, %.6f, %.6f", a.A, a.B, a.Width, a.Length, a.Cutouts(), a.CutoutInterval(false), a.CutoutInterval(true)))
	}
	return all
}

// Drawing a slope in coplanar parts, turning the roof, or another order of planes changes no section and no aisle.
func TestSectionsDoNotDependOnTheDrawing(t *testing.T) {
	aisles := 0
	for seed := int64(1); seed <= few(int64(60)); seed++ {
		rng := rand.New(rand.NewSource(seed))
		slope := []float64{0.5, 5, 18.43, 30}[rng.Intn(4)]
		cos := math.Cos(slope * math.Pi / 180)
		var modules []placed
		for range 2 + rng.Intn(5) {
			side, columns, rows := rng.Intn(2), 2+rng.Intn(8), 1+rng.Intn(4)
			x, y := 1+rng.Float64()*30, 0.3+rng.Float64()*(11.4-2*float64(rows)*cos)
			for c := range columns {
				for k := range rows {
					m := placed{Point{x + float64(c) + 0.5, y + (2*float64(k)+1)*cos}, side, 1, 2}
					if side == 1 {
						m.centre.Y = 24 - m.centre.Y
					}
					clear := m.centre.X < 39.5 && !slices.ContainsFunc(modules, func(o placed) bool {
						return o.side == side && math.Abs(o.centre.X-m.centre.X) < 1.01 && math.Abs(o.centre.Y-m.centre.Y) < 2.01*cos
					})
					if clear && rng.Float64() < 0.95 {
						modules = append(modules, m)
					}
				}
			}
		}
		if len(modules) == 0 {
			continue
		}
		want := told(drawnRoof(t, slope, nil, 0, nil, modules))
		cuts := []float64{8 + rng.Float64()*8, 20 + rng.Float64()*12}
		turn := rng.Float64() * 360
		order := rng.Perm(6)
		for name, s := range map[string]*Spread{
			"parts":   drawnRoof(t, slope, cuts, 0, nil, modules),
			"turned":  drawnRoof(t, slope, nil, turn, nil, modules),
			"order":   drawnRoof(t, slope, nil, 0, order[:2], modules),
			"all":     drawnRoof(t, slope, cuts, turn, order, modules),
			"quarter": drawnRoof(t, slope, cuts, 90, order, modules),
		} {
			if got := told(s); !slices.Equal(got, want) {
				t.Errorf("roof %d, %s:\n%v\nwant\n%v", seed, name, got, want)
			}
		}
		for _, line := range want {
			if line[0] == 'a' {
				aisles++
			}
		}
	}
	if aisles < few(40) {
		t.Errorf("%d aisles: the sample says little", aisles)
	}
}
