package layout

import (
	"math"
	"math/rand/v2"
	"testing"
)

var (
	rectangle = []Point{{0, 0}, {10, 0}, {10, 6}, {0, 6}}
	ell       = []Point{{0, 0}, {10, 0}, {10, 3}, {5, 3}, {5, 6}, {0, 6}}
	notched   = []Point{{0, 0}, {4.9, 0}, {4.9, 3}, {5.1, 3}, {5.1, 0}, {10, 0}, {10, 6}, {0, 6}}
	triangle  = []Point{{0, 0}, {8, 0}, {4, 4}} // a hip end
)

// Worked by hand: a module of 1 m x 2 m with its lower left corner at a place.
func TestModuleInsets(t *testing.T) {
	for _, c := range []struct {
		name    string
		outline []Point
		at      Point
		turn    float64
		want    float64
	}{
		{"inside", rectangle, Point{4, 1}, 0, 1},
		{"on the eave", rectangle, Point{4, 0}, 0, 0},
		{"past the eave", rectangle, Point{4, -0.3}, 0, -0.3},
		{"past the corner", rectangle, Point{-0.3, -0.4}, 0, -0.5},
		{"off the plane", rectangle, Point{20, 1}, 0, -11},
		{"in the ell, near its corner", ell, Point{3, 2}, 0, 1},
		{"over the corner of the ell", ell, Point{4.5, 2.5}, 0, -0.5}, // upper right corner (5.5, 4.5)
		{"over a notch", notched, Point{4.5, 1}, 0, -0.4},
		{"hip end", triangle, Point{3.5, 0.9}, 0, (3.5 - 2.9) / math.Sqrt2}, // upper left corner from x = y
		{"turned a quarter", rectangle, Point{3, 1}, 90, 1},
		{"clockwise outline", []Point{{0, 6}, {10, 6}, {10, 0}, {0, 0}}, Point{4, 1}, 0, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := plain(1, 1)
			p.Frame = Frame{c.at, c.turn}
			got, err := mustArray(t, p).Insets(c.outline)
			if err != nil {
				t.Fatal(err)
			}
			if !near(got[0], c.want, 1e-9) {
				t.Errorf("clearance %g, want %g", got[0], c.want)
			}
		})
	}
}

// A module is inside exactly when no sampled point of it is outside.
func TestInsetsAgainstSampling(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 1))
	inside, outside := 0, 0
	for range 400 {
		p := plain(1, 1)
		p.Frame = Frame{Point{12*random.Float64() - 1, 8*random.Float64() - 1}, 360 * random.Float64()}
		a := mustArray(t, p)
		outline := [][]Point{rectangle, ell, notched, triangle}[random.IntN(4)]
		got, err := a.Insets(outline)
		if err != nil {
			t.Fatal(err)
		}
		least := math.Inf(1)
		for i := range 41 {
			for j := range 81 {
				least = min(least, inset(outline, a.Frame.ToSurface(Point{float64(i) / 40, float64(j) / 40})))
			}
		}
		if math.Abs(got[0]) < 0.02 {
			continue // nearer than the sampling can tell
		}
		if (got[0] > 0) != (least > 0) || got[0] > 0 && !near(got[0], least, 0.02) {
			t.Fatalf("%+v: clearance %g, by sampling %g", p.Frame, got[0], least)
		}
		if got[0] > 0 {
			inside++
		} else {
			outside++
		}
	}
	if inside < 30 || outside < 30 {
		t.Errorf("%d inside and %d outside are too few to tell", inside, outside)
	}
}

func TestEdgeClearances(t *testing.T) {
	p := plain(2, 3)
	p.Frame.Origin = Point{2, 0.5}
	got, err := mustArray(t, p).EdgeClearances(rectangle)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0.5, 5, 1.5, 2} {
		if !near(got[i].Distance, want, 1e-12) {
			t.Errorf("edge %d: %g, want %g", i, got[i].Distance, want)
		}
	}
	p.Frame.Origin.Y = -0.1
	if got, _ = mustArray(t, p).EdgeClearances(rectangle); got[0].Distance != 0 {
		t.Errorf("over the eave: clearance %g, want 0", got[0].Distance)
	}
}

func TestOutlineErrors(t *testing.T) {
	a := mustArray(t, plain(1, 1))
	for name, outline := range map[string][]Point{
		"two corners":  {{0, 0}, {1, 0}},
		"repeated":     {{0, 0}, {1, 0}, {1, 0}, {0, 1}},
		"closed":       {{0, 0}, {1, 0}, {0, 1}, {0, 0}},
		"bow tie":      {{0, 0}, {2, 2}, {2, 0}, {0, 1}},
		"flat":         {{0, 0}, {1, 0}, {2, 0}},
		"not a number": {{0, 0}, {1, 0}, {math.NaN(), 1}},
	} {
		if _, err := a.Insets(outline); err == nil {
			t.Errorf("%s: no error from Insets of modules", name)
		}
		if _, err := a.EdgeClearances(outline); err == nil {
			t.Errorf("%s: no error from EdgeClearances", name)
		}
		if _, err := Insets([]Point{{0, 0}}, outline); err == nil {
			t.Errorf("%s: no error from Insets of points", name)
		}
	}
	if _, err := Insets([]Point{{math.NaN(), 0}}, rectangle); err == nil {
		t.Error("point not a number: no error")
	}
}

func TestInsetsOfFasteners(t *testing.T) {
	got, err := Insets([]Point{{0.05, 3}, {5, 0}, {5, -0.02}, {9.99, 5.98}}, rectangle)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0.05, 0, -0.02, 0.01} {
		if !near(got[i], want, 1e-9) {
			t.Errorf("point %d: %g, want %g", i, got[i], want)
		}
	}
}

func randomPoints(random *rand.Rand, n int, size float64) []Point {
	points := make([]Point, n)
	for i := range points {
		// Half of them on a coarse grid, so that equal distances and equal points come up.
		points[i] = Point{size * random.Float64(), size * random.Float64()}
		if random.IntN(2) == 0 {
			points[i] = Point{math.Round(points[i].X), math.Round(points[i].Y)}
		}
	}
	return points
}

// Against all pairs.
func TestNearAgainstAllPairs(t *testing.T) {
	random := rand.New(rand.NewPCG(10, 1))
	for range 60 {
		points := randomPoints(random, 1+random.IntN(60), 6)
		limit := random.Float64()
		var pairs []Pair
		for i, p := range points {
			best := Pair{i, -1, math.Inf(1)}
			for j, q := range points {
				d := p.distance(q)
				if j > i && d <= limit {
					pairs = append(pairs, Pair{i, j, d})
				}
				if j != i && d < best.Distance {
					best = Pair{i, j, d}
				}
			}
			if nearest := Nearest(points); len(points) > 1 && nearest[i] != best {
				t.Fatalf("nearest to %d is %+v, want %+v", i, nearest[i], best)
			}
		}
		got := Closer(points, limit)
		if len(got) != len(pairs) {
			t.Fatalf("%d pairs, want %d", len(got), len(pairs))
		}
		for i := range got {
			if got[i] != pairs[i] {
				t.Fatalf("pair %d is %+v, want %+v", i, got[i], pairs[i])
			}
		}
	}
	if Nearest([]Point{{1, 1}}) != nil {
		t.Error("one point has a nearest other")
	}
}

func TestOutsideModulesAgainstAll(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 1))
	for range 60 {
		a := randomSupports(t, random).Array
		points := randomPoints(random, 20, 20)
		got, err := a.OutsideModules(points)
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range points {
			want := math.Inf(1)
			for _, m := range a.Modules {
				want = min(want, m.Rect.outside(a.Frame.ToArray(p)))
			}
			if got[i].Distance != want || a.Modules[got[i].Module].Rect.outside(a.Frame.ToArray(p)) != want {
				t.Fatalf("%v is %+v from the modules, want %g", p, got[i], want)
			}
		}
	}
	a := mustArray(t, plain(1, 2))
	for _, c := range []struct {
		at   Point
		want float64
	}{{Point{-0.1, 1}, 0.1}, {Point{1, 1}, 0}, {Point{0.2, 1}, -0.2}, {Point{2.3, 2.4}, 0.5}} {
		if got, _ := a.OutsideModules([]Point{c.at}); !near(got[0].Distance, c.want, 1e-12) {
			t.Errorf("%v: %g outside, want %g", c.at, got[0].Distance, c.want)
		}
	}
	if _, err := a.OutsideModules([]Point{{math.NaN(), 0}}); err == nil {
		t.Error("point not a number: no error")
	}
}

// Two arrays, one turned, against all pairs cut by half planes.
func TestOverlapsAgainstAll(t *testing.T) {
	random := rand.New(rand.NewPCG(12, 1))
	found := 0
	for range 80 {
		first := plain(1+random.IntN(3), 1+random.IntN(4))
		second := plain(1+random.IntN(3), 1+random.IntN(4))
		second.Width, second.Height, second.Name = 1.1, 1.7, "north"
		second.Frame = Frame{Point{8*random.Float64() - 2, 8*random.Float64() - 2}, 90 * random.Float64()}
		a, b := mustArray(t, first), mustArray(t, second)
		want := 0
		for _, m := range a.Modules {
			for _, n := range b.Modules {
				if commonArea(m.Corners, n.Corners) > 1e-9 {
					want++
				}
			}
		}
		if got := Overlaps(a, b); len(got) != want {
			t.Fatalf("%d overlaps, want %d", len(got), want)
		}
		found += want
	}
	if found < 50 {
		t.Errorf("%d overlaps in all are too few to tell", found)
	}
	if got := Overlaps(mustArray(t, plain(5, 5))); len(got) != 0 {
		t.Errorf("modules that touch overlap: %+v", got)
	}
}

// commonArea cuts one rectangle by the sides of the other.
func commonArea(a, b [4]Point) float64 {
	figure := a[:]
	for i := range b {
		p, q := b[i], b[(i+1)%4]
		var out []Point
		for k, v := range figure {
			w := figure[(k+1)%len(figure)]
			dv, dw := q.sub(p).cross(v.sub(p)), q.sub(p).cross(w.sub(p))
			if dv >= 0 {
				out = append(out, v)
			}
			if dv > 0 && dw < 0 || dv < 0 && dw > 0 {
				out = append(out, v.add(w.sub(v).scale(dv/(dv-dw))))
			}
		}
		if figure = out; len(figure) == 0 {
			return 0
		}
	}
	return area(figure)
}
