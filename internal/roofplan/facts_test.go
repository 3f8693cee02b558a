package roofplan

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"testing"
)

func allOf(r *Roof) []int {
	out := make([]int, r.Len())
	for i := range out {
		out[i] = i
	}
	return out
}

// gable is a gable roof of 12 m by 8 m with its ridge along x, eaves at the
// given heights.
func gable(slope float64, south, north *float64) []Plane {
	return []Plane{
		{Name: "south", Outline: []Point{{0, 0}, {12, 0}, {12, 4}, {0, 4}}, Slope: slope, Downslope: 180, Elevation: south},
		{Name: "north", Outline: []Point{{0, 4}, {12, 4}, {12, 8}, {0, 8}}, Slope: slope, Downslope: 0, Elevation: north},
	}
}

// turned carries planes to another place, turned clockwise and, where asked, mirrored first.
func turned(planes []Plane, degrees float64, mirror bool, by Point) []Plane {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	out := slices.Clone(planes)
	for i := range out {
		out[i].Outline = slices.Clone(out[i].Outline)
		for k, p := range out[i].Outline {
			if mirror {
				p.X = -p.X
			}
			out[i].Outline[k] = Point{p.X*cos + p.Y*sin + by.X, -p.X*sin + p.Y*cos + by.Y}
		}
		if mirror {
			out[i].Downslope = -out[i].Downslope
		}
		out[i].Downslope += degrees
	}
	return out
}

func ell(slope float64) []Plane { // a wing of 4 m by 6 m south of the east end of a gable of 12 m by 8 m
	p := gable(slope, nil, nil)
	p[0].Outline = []Point{{0, 0}, {8, 0}, {10, 2}, {12, 0}, {12, 4}, {0, 4}}
	return append(p,
		Plane{Name: "wing west", Outline: []Point{{8, -6}, {10, -6}, {10, 2}, {8, 0}}, Slope: slope, Downslope: 270},
		Plane{Name: "wing east", Outline: []Point{{10, -6}, {12, -6}, {12, 0}, {10, 2}}, Slope: slope, Downslope: 90})
}

func gambrel() []Plane {
	return []Plane{
		{Name: "a", Outline: []Point{{0, 0}, {10, 0}, {10, 2}, {0, 2}}, Slope: 60, Downslope: 180},
		{Name: "b", Outline: []Point{{0, 2}, {10, 2}, {10, 5}, {0, 5}}, Slope: 20, Downslope: 180},
		{Name: "c", Outline: []Point{{0, 5}, {10, 5}, {10, 8}, {0, 8}}, Slope: 20, Downslope: 0},
		{Name: "d", Outline: []Point{{0, 8}, {10, 8}, {10, 10}, {0, 10}}, Slope: 60, Downslope: 0},
	}
}

func mansard() []Plane {
	upper := turned(hipRoof(20), 0, false, Point{2, 2}) // over 2..14 by 2..10
	return append(upper,
		Plane{Name: "s", Outline: []Point{{0, 0}, {16, 0}, {14, 2}, {2, 2}}, Slope: 60, Downslope: 180},
		Plane{Name: "e", Outline: []Point{{16, 0}, {16, 12}, {14, 10}, {14, 2}}, Slope: 60, Downslope: 90},
		Plane{Name: "n", Outline: []Point{{16, 12}, {0, 12}, {2, 10}, {14, 10}}, Slope: 60, Downslope: 0},
		Plane{Name: "w", Outline: []Point{{0, 12}, {0, 0}, {2, 2}, {2, 10}}, Slope: 60, Downslope: 270})
}

func single(slope float64) Plane {
	return Plane{Name: "shed", Outline: []Point{{20, 0}, {30, 0}, {30, 4}, {20, 4}}, Slope: slope, Downslope: 180}
}

func TestForms(t *testing.T) {
	twoGables := append(gable(25, nil, nil), turned(gable(25, nil, nil), 0, false, Point{0, 8})...)
	twoGables[2].Name, twoGables[3].Name = "south 2", "north 2"
	butterfly := gable(10, nil, nil)
	butterfly[0].Downslope, butterfly[1].Downslope = 0, 180
	halves := []Plane{single(10), single(10)}
	halves[0].Outline = []Point{{20, 0}, {25, 0}, {25, 4}, {20, 4}}
	halves[1].Outline, halves[1].Name = []Point{{25, 0}, {30, 0}, {30, 4}, {25, 4}}, "shed 2"
	porch := append(gable(30, nil, nil), Plane{Name: "porch", Outline: []Point{{0, -3}, {12, -3}, {12, 0}, {0, 0}}, Slope: 10, Downslope: 180})
	halfHip := hipRoof(25)
	halfHip[1].Outline = []Point{{12, 2}, {12, 6}, {8 + 2, 4}}
	halfHip[0].Outline = []Point{{0, 0}, {12, 0}, {12, 2}, {10, 4}, {4, 4}}
	halfHip[2].Outline = []Point{{12, 8}, {0, 8}, {4, 4}, {10, 4}, {12, 6}}
	for _, c := range []struct {
		name   string
		planes []Plane
		want   Form
	}{
		{"gable", gable(30, nil, nil), GableForm},
		{"hip", hipRoof(25), HipForm},
		{"one slope", []Plane{single(10)}, MonoslopeForm},
		{"one slope in two parts", halves, MonoslopeForm},
		{"level", []Plane{single(0)}, FlatForm},
		{"a fall of 1/4 in 12 to both sides", gable(1.2, nil, nil), FlatForm},
		{"a wing", ell(30), GableForm},
		{"a porch of lower pitch", porch, GableForm},
		{"gambrel", gambrel(), GambrelForm},
		{"mansard", mansard(), MansardForm},
		{"half hip", halfHip, HipGableForm},
		{"two gables", twoGables, MultispanForm},
		{"butterfly", butterfly, ButterflyForm},
	} {
		for _, turn := range []float64{0, 37, 180} {
			for _, mirror := range []bool{false, true} {
				r := mustRoof(t, turned(c.planes, turn, mirror, Point{-3, 50})...)
				parts := r.Parts(allOf(r))
				if len(parts) != 1 {
					t.Errorf("%s: %d parts %v", c.name, len(parts), parts)
					continue
				}
				if got := r.Form(parts[0], 2.4); got != c.want {
					t.Errorf("%s turned by %g, mirrored %v: %s, want %s (%s)", c.name, turn, mirror, got, c.want, kindsOf(r, 0))
				}
			}
		}
	}
}

// The smallest rectangle is compared with that of many directions tried one
// after another.
func TestExtent(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	for n := range 60 {
		var corners []Point
		for range 3 + rng.Intn(6) {
			corners = append(corners, Point{rng.Float64() * 20, rng.Float64() * 12})
		}
		h := hull(corners)
		if len(h) < 3 {
			continue
		}
		r := mustRoof(t, level(h...))
		got := r.Extent([]int{0})
		least := math.Inf(1)
		for k := range 18000 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 18000)
			low, high := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
			for _, p := range corners {
				x, y := p.X*cos+p.Y*sin, -p.X*sin+p.Y*cos
				low, high = Point{min(low.X, x), min(low.Y, y)}, Point{max(high.X, x), max(high.Y, y)}
			}
			least = min(least, (high.X-low.X)*(high.Y-low.Y))
		}
		if area := got.Length * got.Width; area > least*(1+1e-9) || area < least*(1-1e-3) || got.Length < got.Width {
			t.Errorf("scene %d: %.4f by %.4f, area %.4f; trying directions gives %.4f", n, got.Length, got.Width, area, least)
		}
	}
	for _, turn := range []float64{0, 30, 90, 123.4} {
		r := mustRoof(t, turned(ell(30), turn, false, Point{5, 5})...)
		e := r.Extent(allOf(r))
		near(t, "length", e.Length, 14, 1e-9)
		near(t, "width", e.Width, 12, 1e-9)
		near(t, "bearing", math.Mod(e.Bearing+1e-9, 180), math.Mod(turn, 180), 1e-6)
	}
	if e := mustRoof(t, single(5)).Extent(nil); e != (Extent{}) {
		t.Errorf("no plane measures %v", e)
	}
}

func TestBuildingsAndParts(t *testing.T) {
	porch := Plane{Name: "porch", Outline: []Point{{2, -3}, {6, -3}, {6, 0}, {2, 0}}, Slope: 10, Downslope: 180, Elevation: height(2)}
	dormer := Plane{Name: "cap", Outline: []Point{{3, 1}, {5, 1}, {5, 3}, {3, 3}}, Slope: 5, Downslope: 180, Elevation: height(9)}
	r := mustRoof(t, append(gable(30, height(5), height(5)), porch, dormer, single(10))...)
	all := allOf(r)
	if got, want := fmt.Sprint(r.Parts(all)), "[[0 1] [2] [3] [4]]"; got != want {
		t.Errorf("parts %s, want %s", got, want)
	}
	if got, want := fmt.Sprint(r.Buildings(all, 0.3)), "[[0 1 2 3] [4]]"; got != want {
		t.Errorf("buildings %s, want %s", got, want)
	}
	if got, want := fmt.Sprint(r.Buildings(all, 8.01)), "[[0 1 2 3 4]]"; got != want { // 8 m between them
		t.Errorf("buildings %s, want %s", got, want)
	}
	if got, want := fmt.Sprint(r.Buildings([]int{4, 2}, 7.99)), "[[4] [2]]"; got != want {
		t.Errorf("buildings %s, want %s", got, want)
	}
}

func TestLevels(t *testing.T) {
	tan := math.Tan(30 * math.Pi / 180)
	r := mustRoof(t, gable(30, height(5), height(3))...)
	l, missing := r.Levels([]int{0, 1})
	if missing != -1 {
		t.Fatal(missing)
	}
	near(t, "lowest eave", l.LowestEave, 3, 1e-9)
	near(t, "highest eave", l.HighestEave, 5, 1e-9)
	near(t, "top", l.Top, 5+4*tan, 1e-9)
	if _, missing := mustRoof(t, gable(30, height(5), nil)...).Levels([]int{0, 1}); missing != 1 {
		t.Errorf("missing %d, want the plane without elevation", missing)
	}
	// The triangle of a dormer falls to a point: it has no eave, and its lowest
	// point stands for it.
	r = mustRoof(t, Plane{Name: "kite", Outline: []Point{{0, 0}, {2, 4}, {-2, 4}}, Slope: 45, Downslope: 180, Elevation: height(6)})
	l, _ = r.Levels([]int{0})
	near(t, "eave of a point", l.LowestEave, 6, 1e-9)
	near(t, "top", l.Top, 10, 1e-9)
}

// What the slope would be is found by hand: the ridge lies 4 m in from either
// eave.
func TestMeetings(t *testing.T) {
	tan := math.Tan(30 * math.Pi / 180)
	planes := gable(30, height(5), height(5))
	r := mustRoof(t, planes...)
	m := r.Meetings(0)
	if len(m) != 1 || m[0].Other != 1 {
		t.Fatalf("meetings %v", m)
	}
	near(t, "own height", m[0].Own, 5+4*tan, 1e-9)
	near(t, "height across", m[0].Across, 5+4*tan, 1e-9)
	near(t, "slope", m[0].Slope, 30, 1e-9)
	near(t, "run", m[0].Run, 4, 1e-9)

	planes[0].Slope = 20 // the north side says that the ridge is higher
	m = mustRoof(t, planes...).Meetings(0)
	if len(m) != 1 {
		t.Fatalf("meetings %v", m)
	}
	near(t, "slope by the north side", m[0].Slope, 30, 1e-9)

	planes[0].Kinds = []EdgeKind{Unstated, Unstated, Step, Unstated} // said to be a step
	r = mustRoof(t, planes...)
	if a, b := r.Meetings(0), r.Meetings(1); len(a) != 0 || len(b) != 0 {
		t.Errorf("a stated step is no meeting: %v, %v", a, b)
	}
	r = mustRoof(t, gable(30, height(5), nil)...)
	if a, b := r.Meetings(0), r.Meetings(1); len(a) != 1 || a[0].Missing != 1 || len(b) != 1 || b[0].Missing != 1 {
		t.Errorf("the height of the north side is missing: %v, %v", a, b)
	}
	if m := mustRoof(t, gable(30, nil, nil)...).Meetings(0); len(m) != 0 {
		t.Errorf("without heights nothing is compared: %v", m)
	}
	h := hipRoof(25)
	for i := range h {
		h[i].Elevation = height(3)
	}
	r = mustRoof(t, h...)
	for i := range h {
		if len(r.Meetings(i)) < 2 {
			t.Errorf("%s meets %v", h[i].Name, r.Meetings(i))
		}
		for _, m := range r.Meetings(i) {
			near(t, h[i].Name, m.Slope, 25, 1e-6)
		}
	}
}
